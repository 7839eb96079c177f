// One recorded job's seat review, with the same seat's earlier jobs read along.
#pragma once

#include <vector>

#include "record/rejudge.hpp"
#include "review/seat_review.hpp"

namespace halfturn::command {

// samples: of this job, as judge_again gave them. Earlier jobs (at most eight, the newest) are judged again
// for their curves; one that can't be read is left out.
review::SeatReview seat_of_job(record::Store& store, const record::JobRow& job,
                               const record::Rejudged& judged, const std::vector<Sample>& samples);

}  // namespace halfturn::command
