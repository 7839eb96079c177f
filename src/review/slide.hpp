// The part of a recorded curve in which the ring slides: force against how much of the seat is still (or already) engaged.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/set_up.hpp"
#include "review/trace.hpp"

namespace halfturn::review {

// One short stretch of sliding. Force is the mean over the way, so that pauses and the spring of a new
// stroke, in which the ring stands, carry no weight.
struct SlideStretch {
    double engaged_mm = 0;  // of the seat, from its mouth: what grips there
    double force_N = 0;
    double turns = 0;   // of the screw, from contact
    double way_mm = 0;  // slid within the stretch: its weight
    double readings = 0;
};

// One step of the ring onwards: where it is, and the force and turn there.
struct Onwards {
    double slid_mm = 0, force_N = 0, turns = 0;
};

struct Slide {
    std::vector<Onwards> onwards;         // every reading in which the ring had moved on; slid from release or contact
    std::vector<SlideStretch> stretches;  // engaged_mm rising
    double length_mm = 0;                 // of the seat, as the set-up has it
    std::optional<double> seen_length_mm; // from release to clear, or from contact to home, as the curve shows it
    double unseen_mm = 0;                 // out: passed in the jump at release, between two readings
    double first_N = 0;                   // sliding with the whole seat engaged: middle force over the first (in: last) eighth
    double way_mm = 0;                    // covered in all
    double work_Nmm = 0;                  // force over that way
    double over_fall = 1;                 // work over what an even seat that starts with first_N takes for the same way
    double scatter_N = 0;                 // standard deviation of a stretch's force about its neighbours
    std::string why_not;                  // when there are no stretches: what is missing, in plain words
};

// The share of the full grip with this length engaged, by the set-up's frozen fall; 1 beyond the seat, 0 for
// nothing engaged. Linear without a frozen fall.
double grip_share(const SetUp& set_up, double engaged_mm);

// release_t_s: when the ring broke loose (out); home_mm: the ring's way from contact when it came home (in),
// if it did. Where the curve shows the seat's whole length within an eighth of the set-up's, depths are
// stretched to match it. Pure.
Slide slide_of(const Trace& trace, const SetUp& set_up, std::optional<double> release_t_s,
               std::optional<double> home_mm);

}  // namespace halfturn::review
