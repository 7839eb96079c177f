// One recorded job, judged again and reviewed: what `review ID` prints and the job page shows.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/event.hpp"
#include "record/rejudge.hpp"
#include "review/seat_review.hpp"

namespace halfturn::command {

struct ReviewedJob {
    record::JobRow job;
    record::Rejudged judged;
    std::vector<Sample> samples;  // as ThinnedSamples keeps them
    review::SeatReview seat;
};

// Throws what find_job and judge_again throw.
ReviewedJob review_job(record::Store& store, const std::string& id);

// The contracts' judged job with the record, its entries and the seat's review. `for_page`: also the points of the drawn
// curve and where on it each finding is, in turns from contact.
std::string reviewed_json(record::Store& store, const ReviewedJob& reviewed, bool for_page);

// An event worth a line, in words: all but bytes and ticks. Empty for those.
std::string happened(const Event& event, const SetUp& set_up);

}  // namespace halfturn::command
