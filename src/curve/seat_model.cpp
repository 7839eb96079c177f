#include "curve/seat_model.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <span>

namespace halfturn::curve {

namespace {

constexpr double largest_factor = 2.2;

struct Knot { double x, y; };

double interpolate(std::span<const Knot> knots, double x) {
    if (x <= knots.front().x) return knots.front().y;
    for (std::size_t i = 1; i < knots.size(); ++i) {
        if (x > knots[i].x) continue;
        const double t = (x - knots[i - 1].x) / (knots[i].x - knots[i - 1].x);
        return knots[i - 1].y + t * (knots[i].y - knots[i - 1].y);
    }
    return knots.back().y;
}

}  // namespace

double grip_N_per_um(double D_mm, double B_mm, double ring_bore_mm, double ring_E_GPa, double ring_nu, double hub_outside_mm,
                     double hub_E_GPa, double hub_nu, double shape_factor) {
    const double D2 = D_mm * D_mm, d2 = ring_bore_mm * ring_bore_mm, o2 = hub_outside_mm * hub_outside_mm;
    const double ring = D_mm / ring_E_GPa * ((D2 + d2) / (D2 - d2) - ring_nu);  // mm/GPa = um/MPa
    const double hub = D_mm / hub_E_GPa * ((o2 + D2) / (o2 - D2) + hub_nu);
    return std::numbers::pi * D_mm * B_mm / (ring + hub / shape_factor);
}

double grip_left(double slid_over_width, double chamfer_over_width) {
    // Measured off finite-element runs at these shares; the last value holds to where the chamfer lets go.
    static constexpr std::array<Knot, 11> knots{{{0, 1}, {0.05, 0.96}, {0.1, 0.92}, {0.2, 0.84}, {0.3, 0.75}, {0.4, 0.66},
                                                 {0.5, 0.58}, {0.6, 0.51}, {0.7, 0.43}, {0.8, 0.36}, {0.85, 0.33}}};
    const double end = 1 - chamfer_over_width;
    if (slid_over_width >= 1) return 0;
    const double left = interpolate(knots, slid_over_width);
    return slid_over_width <= end ? left : left * (1 - slid_over_width) / chamfer_over_width;
}

double off_axis_factor(double mu_e_over_L) {
    static constexpr std::array<Knot, 6> knots{{{0.15, 1}, {0.18, 1.02}, {0.21, 1.07}, {0.24, 1.13}, {0.28, 1.6}, {0.32, largest_factor}}};
    return interpolate(knots, mu_e_over_L);
}

double knee_share(double off_axis_over_radius) {
    // The rigid-plastic limit at t = pi, 3.0, 2.85, 2.7, 2.55, 2.4, 2.3, 2.2, 2.1, 2.0; straight between to 0.005.
    static constexpr std::array<Knot, 10> knots{{{0, 1}, {0.09874, 0.90986}, {0.22473, 0.81437}, {0.37848, 0.71887},
                                                 {0.56953, 0.62338}, {0.81459, 0.52789}, {1.02263, 0.46423},
                                                 {1.28495, 0.40056}, {1.63115, 0.33690}, {2.11857, 0.27324}}};
    return interpolate(knots, off_axis_over_radius);
}

Grip grip_of(const SeatFacts& facts, const std::array<double, input_count>& u) {
    const auto value = [&u](const Doubt& doubt, Input input) { return doubt.at(u[static_cast<std::size_t>(input)]); };
    Grip grip;
    grip.interference_um = value(facts.ring_um, Input::ring) - value(facts.bore_um, Input::bore) -
                           value(facts.smoothing_um, Input::smoothing) + facts.thermal_um;
    const double ring_bore_mm = facts.D_mm - value(facts.ring_cut, Input::ring_cut) * (facts.D_mm - facts.d_mm);
    const double N_per_um = grip_N_per_um(facts.D_mm, facts.B_mm, ring_bore_mm, facts.ring_E_GPa, facts.ring_nu,
                                          value(facts.hub_outside_mm, Input::hub_outside), value(facts.hub_E_GPa, Input::hub_E),
                                          facts.hub_nu, value(facts.shape_factor, Input::shape)) *
                            value(facts.grip_model, Input::grip_model);
    grip.normal_N = N_per_um * std::max(0.0, grip.interference_um);
    const double area_mm2 = std::numbers::pi * facts.D_mm * facts.B_mm;
    grip.pressure_MPa = grip.normal_N / area_mm2;
    grip.ball_path = value(facts.ball_path, Input::ball_path);
    const double off_axis_mm = value(facts.off_axis_mm, Input::off_axis);
    grip.off_axis_over_B = off_axis_mm / facts.B_mm;
    grip.knee_share = knee_share(2 * off_axis_mm / facts.D_mm);
    grip.softening_mm = value(facts.softening_mm, Input::softening);
    if (facts.bond_MPa) grip.bond_N = value(*facts.bond_MPa, Input::bond) * area_mm2;
    grip.over_sliding = value(facts.over_sliding, Input::over_sliding);
    grip.stiffness_N_per_mm = value(facts.stiffness_N_per_mm, Input::stiffness);
    grip.toe_mm = value(facts.toe_mm, Input::toe);
    return grip;
}

double friction_force_N(const Grip& grip, double friction) {
    const double tilt = off_axis_factor(friction * grip.off_axis_over_B);
    // 1/(1 - x) times the tilt, limited; written so that x = 1 needs no special case.
    const double balls_left = std::max(1 - friction * grip.ball_path, tilt / largest_factor);
    return friction * grip.normal_N * tilt / balls_left;
}

Seat seat_of(const Grip& grip, double friction) {
    const double force = friction_force_N(grip, friction);
    const double release_N = force + grip.bond_N;
    return {release_N, force / grip.over_sliding, grip.stiffness_N_per_mm, grip.toe_mm,
            release_N * grip.knee_share, grip.softening_mm};
}

namespace {

// The press alone. The toe is a parabola that meets the straight line with its slope: k x^2/(2 toe), then k (x - toe/2).
double press_travel_mm(const Seat& seat, double force_N) {
    const double stretch = force_N / seat.stiffness_N_per_mm;
    return stretch < seat.toe_mm / 2 ? std::sqrt(2 * stretch * seat.toe_mm) : stretch + seat.toe_mm / 2;
}

double press_force_N(const Seat& seat, double mm) {
    return seat.stiffness_N_per_mm * (mm < seat.toe_mm ? mm * mm / (2 * seat.toe_mm) : mm - seat.toe_mm / 2);
}

}  // namespace

double wind_up_mm(const Seat& seat, double force_N) {
    const double press = press_travel_mm(seat, force_N);
    if (force_N <= seat.knee_N || seat.softening_mm == 0) return press;
    return press + seat.softening_mm * std::min(1.0, (force_N - seat.knee_N) / (seat.break_loose_N - seat.knee_N));
}

double force_out_N(const Seat& seat, double B_mm, double chamfer_mm, double screw_mm) {
    if (screw_mm <= 0) return 0;
    const double release_mm = wind_up_mm(seat, seat.break_loose_N);
    if (screw_mm <= release_mm) {
        const double knee_mm = press_travel_mm(seat, seat.knee_N);
        if (screw_mm <= knee_mm) return press_force_N(seat, screw_mm);
        return seat.knee_N + (seat.break_loose_N - seat.knee_N) * (screw_mm - knee_mm) / (release_mm - knee_mm);
    }
    // Once loose the press keeps just the sliding force; the ring has slid by what is no longer stretch. Two rounds settle it,
    // because the grip falls a hundred times more slowly than the press winds up.
    double force = seat.sliding_N;
    for (int round = 0; round < 2; ++round) {
        const double slid = std::max(0.0, screw_mm - press_travel_mm(seat, force));
        force = seat.sliding_N * grip_left(slid / B_mm, chamfer_mm / B_mm);
    }
    return force;
}

double force_in_N(const Seat& seat, double B_mm, double chamfer_mm, double screw_mm) {
    double force = 0, entered = screw_mm;
    for (int round = 0; round < 4; ++round) {
        entered = std::max(0.0, screw_mm - press_travel_mm(seat, force));
        const double still_out = std::max(0.0, 1 - entered / B_mm);
        force = seat.sliding_N * grip_left(still_out, chamfer_mm / B_mm);
    }
    const double beyond_mm = screw_mm - B_mm - press_travel_mm(seat, seat.sliding_N);
    return beyond_mm > 0 ? seat.sliding_N + seat.stiffness_N_per_mm * beyond_mm : force;
}

}  // namespace halfturn::curve
