#include "review/seat_profile.hpp"

#include <algorithm>
#include <cmath>

#include "curve/doubt.hpp"
#include "review/grip_problem.hpp"
#include "review/seat_shape.hpp"
#include "review/shape_fit.hpp"
#include "review/smoothest_grip.hpp"

namespace halfturn::review {
namespace {

constexpr double length_doubt = 0.02;        // of the seat
constexpr Eigen::Index least_stretches = 10;

// What the instruments could show at best, whatever is made of the readings.
void state_resolution(SeatProfile& profile, const Slide& slide, const SetUp& set_up, const Trace& trace) {
    struct Part {
        double mm;
        const char* because;
    };
    const double by_force_mm = trace.moving_mm_per_s * trace.force_gap_s;
    // Turns are interpolated between the ends of strokes.
    const double by_travel_mm = trace.moved_by_gauge ? 0 : trace.moving_mm_per_s * trace.turns_gap_s / 4;
    const double k = set_up.stiffness_N_per_mm.mid;
    const double by_stretch_mm =
        trace.moved_by_gauge || k <= 0
            ? 0
            : 0.5 * (set_up.stiffness_N_per_mm.high - set_up.stiffness_N_per_mm.low) / k * slide.first_N / k / 2;
    const Part parts[] = {{by_force_mm, "the rate of the force readings"},
                          {by_travel_mm, "the rate of the turn readings"},
                          {trace.turns_step_mm, "the least count of the turn reading"},
                          {by_stretch_mm, "the doubt in the press's stiffness"}};
    double squares = 0;
    const Part* largest = parts;
    for (const Part& part : parts) {
        squares += part.mm * part.mm;
        if (part.mm > largest->mm) largest = &part;
    }
    profile.instruments_mm = 2 * std::sqrt(squares);
    profile.instruments_because = largest->because;
}

// The grip of each cell over the mean, with what readings, fall and the seat's length leave open.
void draw_points(SeatProfile& profile, const SmoothestGrip& solved, const SmoothestGrip& longer, const SmoothestGrip& shorter,
                 double length_mm) {
    const double mean_N = solved.grip_N.mean();
    const auto relative_by = [](const SmoothestGrip& grip, Eigen::Index cell) { return grip.grip_N(cell) / grip.grip_N.mean(); };
    for (Eigen::Index j = 0; j < solved.grip_N.size(); ++j) {
        const double by_length = 0.5 * std::fabs(relative_by(longer, j) - relative_by(shorter, j));
        const double half = curve::z_975 * std::hypot(solved.u_N(j) / mean_N, by_length);
        const double relative = relative_by(solved, j);
        profile.points.push_back({length_mm * (static_cast<double>(j) + 0.5) / GripProblem::cells, relative,
                                  std::max(0.0, relative - half), relative + half});
    }
}

}  // namespace

SeatProfile seat_profile(const Slide& slide, const SetUp& set_up, const Trace& trace) {
    SeatProfile profile;
    profile.why_not = slide.why_not;
    if (slide.stretches.empty()) return profile;
    const auto stretched = [&](double by) { return GripProblem(slide, set_up, trace.force_noise_N, by); };
    const GripProblem problem = stretched(1);
    profile.seen_from_mm = problem.seen_from_mm();
    profile.seen_to_mm = problem.seen_to_mm();
    const double base_N = problem.rows() >= least_stretches ? FormFitter(problem).even().base_N : 0;
    if (base_N <= 0) {
        profile.why_not = "too little force while the ring slid";
        return profile;
    }
    profile.known = true;
    const SmoothestGrip solved = smoothest_grip(problem, base_N);
    profile.mean_N_per_mm = solved.grip_N.mean() / slide.length_mm;
    profile.resolved_mm = solved.resolved_mm;
    profile.misfit = solved.chi2 / static_cast<double>(problem.rows());
    draw_points(profile, solved, smoothest_grip(stretched(1 + length_doubt), base_N), smoothest_grip(stretched(1 - length_doubt), base_N),
                slide.length_mm);
    name_shape(profile, problem);
    profile.ripple = ripple_of(problem);
    state_resolution(profile, slide, set_up, trace);
    profile.says = seat_shape_sentence(profile);
    return profile;
}

}  // namespace halfturn::review
