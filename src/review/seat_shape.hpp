// What a seat's profile is called, and the ripple of the screw that rides on it.
#pragma once

#include "review/grip_problem.hpp"
#include "review/seat_profile.hpp"

namespace halfturn::review {

// Fills in shape, size, place, strength and what fits as well; seen_from_mm and seen_to_mm must be there.
void name_shape(SeatProfile& profile, const GripProblem& problem);

// The once-per-turn ripple of a taper's force, against what frequencies beside it show by chance.
Ripple ripple_of(const GripProblem& problem);

}  // namespace halfturn::review
