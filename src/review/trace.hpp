// A recorded job as a curve, for review: every force reading with the turn of the screw at that time. Unlike
// the judge, which may use only what it knew at the moment, this looks both ways in time.
#pragma once

#include <optional>
#include <vector>

#include "core/set_up.hpp"
#include "watch/sample.hpp"
#include "watch/verdict.hpp"

namespace halfturn::review {

struct TracePoint {
    double t_s = 0;
    double force_N = 0;  // above the job's zero
    double turns = 0;    // of the screw, from contact; interpolated between turn readings
    double moved_mm =
        0;  // of the ring in its seat, from contact: screw travel less stretch, or the ring gauge
};

struct Trace {
    std::vector<TracePoint> points;  // from the first contact to the last reading, in the order of time
    bool has_force = false, has_turns = false, has_ring = false;
    bool moved_by_gauge = false;              // moved_mm was read, not worked out from turns and stiffness
    double force_gap_s = 0, turns_gap_s = 0;  // usual time between readings; 0: none
    double force_noise_N = 0;  // standard deviation between neighbouring readings while the stack was loose
    double force_step_N = 0, turns_step_mm = 0;  // least counts, as seen in the readings
    double moving_mm_per_s = 0;                  // how fast the ring usually slid
};

// Turns are interpolated linearly between readings. Stretch is force / stiffness_N_per_mm (0 or less: taken
// as rigid). A job without contact, force or turns gives a trace without points. Pure.
Trace trace_of(const std::vector<Sample>& samples, const SetUp& set_up, const Judgement& judgement,
               double stiffness_N_per_mm);

// For logs and synthetic curves: the same from bare numbers, in the order of time, turns from contact.
struct BarePoint {
    double t_s = 0, force_N = 0, turns = 0;
};
Trace trace_of(const std::vector<BarePoint>& points, double pitch_mm, double stiffness_N_per_mm,
               double force_noise_N);

// The middle value, and the same of a list's differences between neighbours as a standard deviation that
// outliers leave alone (1.4826 times the median, over sqrt 2). 0 for lists too short.
double median(std::vector<double> values);
double neighbour_noise(const std::vector<double>& values);

}  // namespace halfturn::review
