// A recorded job as statistics over many jobs look at it: its set-up, its family, whether somebody set it aside, and what
// its curve says.
#pragma once

#include <functional>
#include <optional>
#include <string>

#include "files/job_file.hpp"
#include "record/reader.hpp"
#include "review/seat_review.hpp"

namespace halfturn::review {

struct PastJob {
    record::JobRow row;
    SetUp set_up;
    std::optional<JobFile> job;  // nothing when the job's text can't be read any more
    std::string set_aside;       // by whom and why; empty: it was not
};
// Throws BadInput for a set-up of a newer program, Failure when the store can't be read.
PastJob read_past_job(record::Store& store, record::JobRow row);

// Jobs of the same bearing, housing (material and shape) and seat class are one family: "61902 in 6061-T6,
// shoulder-behind, N7". A seat whose bore was measured belongs to the class "measured bore". Without a job file, the
// designation alone.
std::string family_name(const JobFile& job);
std::string family_name(const PastJob& job);
// "6902 2RS" and "61902" are one: a listed bearing's own designation, or the text as it stands.
std::string bearing_name(const std::string& designation);

// The job judged again from its stored bytes, with what its curve says of the seat. Whatever `use` is given lives only
// during the call. Throws as record::judge_again.
struct ReadAgain {
    const Judgement& judgement;
    const Evidence& evidence;
    const SeatReview& review;
};
void read_again(record::Store& store, const PastJob& job, const std::function<void(const ReadAgain&)>& use);

// What the set-up expected before anything was learned from the job's family: the numbers a job is compared with others by.
Band expected_at_first(const SetUp& set_up);

}  // namespace halfturn::review
