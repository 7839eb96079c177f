// The stiffness of screw, frame and drift from a blocked pull: the screw turned against something that can't
// move, held still for each reading, up to the highest force and back.
#pragma once

#include <optional>
#include <vector>

#include "calibrate/line_fit.hpp"

namespace halfturn::calibrate {

class CsvReadings;

struct BlockedPull {
    struct Reading {
        double travel_mm = 0, force_N = 0;  // screw travel, pull force, in the order they were taken
    };
    std::vector<Reading> readings;
    std::optional<double>
        from_N;                   // the fit begins here; else at 20 % of the highest force, past the soft toe
    double travel_u_percent = 0;  // standard uncertainty of the travel scale (caliper or pitch)
    double force_u_percent = 0;   // standard uncertainty of the force scale
};

struct StiffnessPoint {
    double force_N = 0, N_per_mm = 0, u = 0;
};

struct StiffnessResult {
    double highest_N = 0, from_N = 0;
    double N_per_mm = 0, u_N_per_mm = 0;  // straight fit over the window: for the rig file
    DegreeChoice choice;                  // how bent the pull is
    LineFit curve;                        // travel in mm over force in N, loading, of the chosen degree
    std::vector<StiffnessPoint> k_of_F;   // tangent stiffness along the window
    double toe_mm = 0;                    // travel lost in the soft beginning, against the straight fit
    std::optional<double> backlash_mm;    // dead travel at the turn, before the force begins to fall
    std::optional<double> hysteresis_mm;  // widest gap of the way down from the way up, backlash taken off
};

// Travel is fitted over force (QR, line_fit.hpp), since the force is the more exact of the two; stiffness is
// the inverse of the slope, u(k) = k^2 u(slope), widened by the scales' uncertainties. The curve's degree (1
// to 3) is choose_degree's. Backlash and hysteresis come from a curve of the way down (three readings or more
// in the window): backlash is its distance from the way up at the highest force, where an elastic loop
// closes; the rest of the gap is hysteresis. A straight fit of a bent pull gives the mean stiffness: u then
// includes the spread of the tangents (rectangular). Common practice, no published source; checked on pulls
// computed forward from known stiffness, toe and play. Throws BadInput: fewer than four loading readings in
// the window, no rise, or a stiffness not above zero.
StiffnessResult fit_stiffness(const BlockedPull& pull);

// CSV: columns travel_mm, force_N; notes `# from_N`, `# travel_u_percent`, `# force_u_percent`, all optional.
BlockedPull read_blocked_pull(const CsvReadings& table);

}  // namespace halfturn::calibrate
