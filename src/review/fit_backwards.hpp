// The fit read backwards: what interference and friction a recorded release and slide speak for.
//
// One force does not tell two unknowns: F = mu G(mu) delta. So the set-up's own frozen ranges of interference
// and friction are the prior, and the recorded release weighs them on a grid (friction 61 steps over its
// table, interference 81 steps over the prior's four standard deviations): posterior ~ prior * likelihood,
// Gaussian in ln F. The prior's spread in interference is what the sizes or the class on the drawing leave
// open.
//   likelihood u^2 = (reading to its bound: rectangular)^2 + grip's doubt^2 + off-axis and bedding doubt (4
//   %)^2 break-loose over sliding is a ratio of two readings; its prior is not used.
// Valid: rings that broke loose (out) or were driven in (in); not for bonded seats, whose release is the
// bond's. Checked: against the closed form where friction is known exactly (tests/review/fit_test.cpp).
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/set_up.hpp"
#include "curve/grip_table.hpp"
#include "review/evidence.hpp"

namespace halfturn::review {

// What the set-up froze for reading backwards.
struct FrozenGrip : curve::GripTable {
    Band interference_um;
};
// Nothing for set-ups from before it was kept, or that can't be read. With what a family taught, where the set-up was
// narrowed by one; at_first: as it was before that, which is how jobs compare.
enum class Knowing : std::uint8_t { all, at_first };
std::optional<FrozenGrip> frozen_grip(const SetUp& set_up, Knowing knowing = Knowing::all);

struct FitBackwards {
    bool known = false;
    std::string why_not;
    double force_N = 0, force_rel_u = 0;  // what was read backwards, and its relative standard uncertainty
    Band interference_um, friction;       // after, 95 %
    Band interference_before_um, friction_before;
    double loose_probability = 0;  // that interference is below 1 um
    std::optional<double> over_sliding, over_sliding_u;
    double place_in_band = 0;  // where the force lies among what was expected, 0 to 1
    std::string says;
};
FitBackwards fit_backwards(const Evidence& evidence);

// The same for a bare force: relative_u its standard uncertainty, grip included.
FitBackwards fit_backwards(const FrozenGrip& grip, double force_N, double relative_u);

// One earlier job of the same seat.
struct EarlierPull {
    std::string job, started;  // id and UTC time
    Work work = Work::out;
    double force_N = 0;     // release, or driving in
    double expected_N = 0;  // the middle of what was expected then
    Band interference_um;
};

// How the seat's grip went from job to job: interference lost per pull. Friction, which is the same seat's,
// cancels but for what changes from job to job (8 % of the force, common practice, no published source).
struct GripHistory {
    std::vector<EarlierPull> pulls;  // oldest first, this one last
    bool known = false;              // three pulls of the same kind, or two with a change beyond doubt
    double lost_share_per_pull = 0, u_lost = 0;
    double lost_um_per_pull = 0;
    std::string says;
};
GripHistory grip_history(std::vector<EarlierPull> pulls);

}  // namespace halfturn::review
