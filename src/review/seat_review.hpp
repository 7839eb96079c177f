// One job's review: the seat's profile, the fit read backwards, the findings, and how the seat did before.
// Plain data for commands, pages and reports.
//   const SeatReview review = review_seat(evidence_of(samples, set_up, judgement));
//   text += seat_review_text(review);
#pragma once

#include <optional>
#include <string>

#include "core/json_writer.hpp"
#include "review/evidence.hpp"
#include "review/finding.hpp"
#include "review/fit_backwards.hpp"

namespace halfturn::review {

struct SeatReview {
    Work work = Work::out;
    SeatProfile profile;
    double unseen_mm = 0;  // passed in the jump at release
    FitBackwards fit;
    Findings findings;
    GripHistory history;        // empty without earlier jobs on the seat
    std::string compared_with;  // the job of the other way on this seat, "job 12"; empty: none
    ProfileDifference difference;
};

SeatReview review_seat(const Evidence& evidence);

// This job as one of the seat's pulls. Nothing when its force is not the fit's.
std::optional<EarlierPull> as_pull(const Evidence& evidence, const SeatReview& review, std::string job, std::string started);

// Keys "profile", "fit_read_backwards", "findings", "cannot_find" and "grip_history" of the object that is
// open.
void write_seat_review(JsonWriter& json, const SeatReview& review);

// For the terminal, at most 80 columns.
std::string seat_review_text(const SeatReview& review);
std::string profile_sketch(const SeatProfile& profile);

}  // namespace halfturn::review
