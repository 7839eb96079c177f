#include "curve/seat_model.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "fit/off_axis_pull.hpp"

namespace halfturn::curve {

namespace {

constexpr double largest_factor = 2.2;

}  // namespace

SeatModel::SeatModel(const SeatFacts& facts) : facts_(facts) {
    const double D2 = facts.D_mm * facts.D_mm,
                 d2 = facts.ring.equal_area_bore_mm * facts.ring.equal_area_bore_mm;
    ring_give_ = facts.D_mm / facts.ring.E_GPa * ((D2 + d2) / (D2 - d2) - facts.ring.nu);
    area_mm2_ = std::numbers::pi * facts.D_mm * facts.B_mm;
    const double hub = hub_give(facts.hub_outside_mm.middle(), facts.hub_E_GPa.middle());
    // A hub stiffer than any (the section may leave it nothing to give) is kept finite.
    const double left_to_hub = area_mm2_ / facts.seat.N_per_um - ring_give_;
    stiffening_ = hub / std::max(left_to_hub, 0.02 * hub);
}

double SeatModel::hub_give(double outside_mm, double E_GPa) const {
    const double D2 = facts_.D_mm * facts_.D_mm, o2 = outside_mm * outside_mm;
    return facts_.D_mm / E_GPa * ((o2 + D2) / (o2 - D2) + facts_.hub_nu);  // mm/GPa = um/MPa
}

double SeatModel::N_per_um(double hub_outside_mm, double hub_E_GPa) const {
    return area_mm2_ / (ring_give_ + hub_give(hub_outside_mm, hub_E_GPa) / stiffening_);
}

GripFall::GripFall(const fit::GripLeft& left) : clear_mm_(left.clear_mm()) {
    constexpr int steps = 512;
    for (int i = 0; i < steps; ++i) share_.push_back(left.at(clear_mm_ * i / steps));
    share_.push_back(0);
    per_mm_ = clear_mm_ > 0 ? steps / clear_mm_ : 0;
}

double GripFall::at(double slid_mm) const {
    if (slid_mm >= clear_mm_) return 0;
    if (!(slid_mm > 0)) return 1;
    const double x = slid_mm * per_mm_;
    const auto i = static_cast<std::size_t>(x);
    if (i + 1 >= share_.size()) return 0;
    return share_[i] + (x - static_cast<double>(i)) * (share_[i + 1] - share_[i]);
}

double knee_share(double off_axis_over_radius) {
    constexpr double largest = 2.2, steps = 32;
    static const auto shares = [] {
        std::array<double, static_cast<std::size_t>(steps) + 1> table{};
        for (std::size_t i = 0; i < table.size(); ++i) table[i] = fit::pivot_knee(largest / steps * static_cast<double>(i));
        return table;
    }();
    const double x = std::min(off_axis_over_radius, largest) * (steps / largest);
    const auto i = std::min(static_cast<std::size_t>(x), shares.size() - 2);
    return shares[i] + (x - static_cast<double>(i)) * (shares[i + 1] - shares[i]);
}

Grip SeatModel::grip(const std::array<double, input_count>& u) const {
    const auto value = [&u](const Doubt& doubt, Input input) {
        return doubt.at(u[static_cast<std::size_t>(input)]);
    };
    const SeatFacts& facts = facts_;
    Grip grip;
    grip.interference_um = value(facts.ring_um, Input::ring) - value(facts.bore_um, Input::bore) -
                           value(facts.smoothing_um, Input::smoothing) + facts.thermal_um;
    const double pressing_um = std::max(0.0, grip.interference_um);
    grip.normal_N =
        pressing_um * std::max(0.0, value(facts.grip_model, Input::grip_model)) *
        N_per_um(value(facts.hub_outside_mm, Input::hub_outside), value(facts.hub_E_GPa, Input::hub_E));
    grip.pressure_MPa = grip.normal_N / area_mm2_;
    grip.clearance_um =
        value(facts.clearance_um, Input::clearance) - facts.seat.raceway_um_per_um * pressing_um;
    grip.lambda = std::max(0.0, value(facts.lambda, Input::lambda));
    grip.clearance_row = facts.balls.row_of(grip.clearance_um);
    const double off_axis_mm = value(facts.off_axis_mm, Input::off_axis);
    grip.off_axis_over_L = off_axis_mm / facts.seat.contact_length_mm;
    grip.knee_share = knee_share(2 * off_axis_mm / facts.D_mm);
    grip.softening_mm = value(facts.softening_mm, Input::softening);
    if (facts.bond_MPa) grip.bond_N = value(*facts.bond_MPa, Input::bond) * area_mm2_;
    grip.over_sliding = value(facts.over_sliding, Input::over_sliding);
    grip.stiffness_N_per_mm = value(facts.stiffness_N_per_mm, Input::stiffness);
    grip.toe_mm = value(facts.toe_mm, Input::toe);
    return grip;
}

double friction_force_N(const Grip& grip, const BallAngles& balls, double friction) {
    const double tilt = fit::release_factor(friction * grip.off_axis_over_L);
    const double on_ring_N = friction * grip.normal_N * tilt;
    // The contact angle hangs on the force that is sought. A guess within a tenth is good for 2 % of it; where the balls
    // add much, the guess is made once more from its own answer.
    const double gain = friction * grip.lambda;
    double left = 1;
    if (gain > 0) {
        left = 1 - gain * balls.spread(grip.clearance_row, on_ring_N * (1 + gain * (3 + 12 * gain)));
        if (left < 0.62)
            left = 1 - gain * balls.spread(grip.clearance_row, on_ring_N / std::max(left, 1 / largest_factor));
    }
    // 1/left times the tilt, limited; written so that 0 needs no special case.
    return on_ring_N / std::max(left, tilt / largest_factor);
}

Seat seat_of(const Grip& grip, const BallAngles& balls, double friction) {
    const double force = friction_force_N(grip, balls, friction);
    const double release_N = force + grip.bond_N;
    return {release_N,   force / grip.over_sliding,   grip.stiffness_N_per_mm,
            grip.toe_mm, release_N * grip.knee_share, grip.softening_mm};
}

namespace {

// The press alone. The toe is a parabola that meets the straight line with its slope: k x^2/(2 toe), then k
// (x - toe/2).
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
    return press +
           seat.softening_mm * std::min(1.0, (force_N - seat.knee_N) / (seat.break_loose_N - seat.knee_N));
}

double force_out_N(const Seat& seat, const GripFall& fall, double screw_mm) {
    if (screw_mm <= 0) return 0;
    const double release_mm = wind_up_mm(seat, seat.break_loose_N);
    if (screw_mm <= release_mm) {
        const double knee_mm = press_travel_mm(seat, seat.knee_N);
        if (screw_mm <= knee_mm) return press_force_N(seat, screw_mm);
        return seat.knee_N +
               (seat.break_loose_N - seat.knee_N) * (screw_mm - knee_mm) / (release_mm - knee_mm);
    }
    // Once loose the press keeps just the sliding force; the ring has slid by what is no longer stretch. Two
    // rounds settle it, because the grip falls a hundred times more slowly than the press winds up.
    double force = seat.sliding_N;
    for (int round = 0; round < 2; ++round) {
        const double slid = std::max(0.0, screw_mm - press_travel_mm(seat, force));
        force = seat.sliding_N * fall.at(slid);
    }
    return force;
}

double force_in_N(const Seat& seat, const GripFall& fall, double screw_mm) {
    double force = 0;
    for (int round = 0; round < 4; ++round) {
        const double entered = std::max(0.0, screw_mm - press_travel_mm(seat, force));
        force = seat.sliding_N * fall.at(fall.clear_mm() - entered);
    }
    const double beyond_mm = screw_mm - fall.clear_mm() - press_travel_mm(seat, seat.sliding_N);
    return beyond_mm > 0 ? seat.sliding_N + seat.stiffness_N_per_mm * beyond_mm : force;
}

}  // namespace halfturn::curve
