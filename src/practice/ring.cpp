#include "practice/ring.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace halfturn::practice {
namespace {
constexpr double mm_per_m = 1000;
constexpr double pivot_settles_s = 0.01;
}  // namespace

Ring::Ring(SeatSpec spec) : spec_(std::move(spec)) {
    if (spec_.grip_per_mm.empty()) spec_.grip_per_mm = Table({{0, 1}, {spec_.length_mm, 1}});
    const double whole = spec_.grip_per_mm.area(0, spec_.length_mm);
    grip_ = Grid(0, spec_.length_mm, 0.01, [&](double slid) {
        slid = std::min(slid, spec_.length_mm);
        const bool out = spec_.work == Work::out;
        const double engaged_mm = out ? spec_.length_mm - slid : slid;
        const double area = out ? spec_.grip_per_mm.area(slid, spec_.length_mm) : spec_.grip_per_mm.area(0, slid);
        double edges = spec_.edge_share * std::min(1.0, engaged_mm / spec_.chamfer_mm);
        if (spec_.edges_follow) {
            // Half a chamfer behind the edge, where it bears: one stays at the mouth, the other goes with the ring's end.
            const double back = std::min(engaged_mm, spec_.chamfer_mm) / 2;
            const double mouth = out ? spec_.length_mm - back : back, end = out ? slid + back : slid - back;
            edges *= (spec_.grip_per_mm.at(mouth) + spec_.grip_per_mm.at(end)) * spec_.length_mm / (2 * whole);
        }
        return spec_.grip_N * ((1 - spec_.edge_share) * area / whole + edges);
    });
}

double Ring::cocking() const {
    return 1 + spec_.cocking_per_mm * pivot_mm_ / (1 + std::max(0.0, slid_mm_) / spec_.righting_mm);
}

void Ring::turned_to(double turns) {
    if (spec_.once_per_turn > 0) sweep_ = 1 + spec_.once_per_turn * std::cos(2 * std::numbers::pi * (turns - spec_.tightest_at_turn));
}

double Ring::grip_N() const { return clear() ? 0 : grip_.at(slid_mm_) * cocking() * sweep_; }

double Ring::holds_N(double push_N) const {
    if (clear()) return 0;
    const double kinetic = spec_.static_friction / spec_.static_over_kinetic;
    const double friction =
        slipped_ ? kinetic * (1 + spec_.regrip * standing_s_ / (standing_s_ + spec_.regrip_s)) : spec_.static_friction;
    const double bond = slipped_ ? 0 : spec_.bond_N;
    return friction * (grip_N() + spec_.tightening * std::fabs(push_N)) + spec_.drag_N.at(slid_mm_) + bond;
}

double Ring::drags_N(double push_N) const {
    if (clear()) return 0;
    const double kinetic = spec_.static_friction / spec_.static_over_kinetic;
    const double glue = slid_mm_ < spec_.bond_gone_mm ? spec_.bond_N * (1 - slid_mm_ / spec_.bond_gone_mm) : 0;
    return kinetic * (grip_N() + spec_.tightening * std::fabs(push_N)) + spec_.drag_N.at(slid_mm_) + std::max(0.0, glue);
}

double Ring::shoulder_N() const { return home() ? spec_.shoulder_N_per_mm * (slid_mm_ - spec_.length_mm) : 0; }

double Ring::longest_step_s(double press_N_per_mm) const {
    const double stiffest = press_N_per_mm + (spec_.work == Work::in ? spec_.shoulder_N_per_mm : 0);
    return std::min(1e-4, 0.35 * std::sqrt(spec_.mass_kg / (stiffest * mm_per_m)));
}

void Ring::pivot(double dt_s, double push_N) {
    if (spec_.knee_N <= 0 || slipped_) return;
    const double beyond = push_N - spec_.knee_N - spec_.pivot_N_per_mm * pivot_mm_;
    if (beyond <= 0) return;
    // As sluggish as the stiffer of the two springs around it allows, so that any step up to 1 ms is stable.
    const double viscosity = std::max(spec_.pivot_N_per_mm, 25000.0) * pivot_settles_s;
    const double grows_mm = dt_s * beyond / viscosity;
    pivot_mm_ += grows_mm;
    heat_Nmm_ += grows_mm * push_N;
}

void Ring::step(double dt_s, double push_N) {
    const double net_N = push_N - shoulder_N();
    pivot(dt_s, push_N);
    if (!moving_) {
        standing_s_ += dt_s;
        if (std::fabs(net_N) <= holds_N(push_N)) return;
        moving_ = slipped_ = true;  // it moves from the next, shorter step on
        return;
    }
    const double way = speed_ != 0 ? std::copysign(1.0, speed_) : std::copysign(1.0, net_N);
    const double drag_N = way * drags_N(push_N);
    const double damping_N = spec_.damping_Ns_per_mm * speed_;
    const double speed_after = speed_ + dt_s * mm_per_m * (net_N - drag_N - damping_N) / spec_.mass_kg;
    if (speed_after * way <= 0) {
        heat_Nmm_ += 0.5 * spec_.mass_kg / mm_per_m * speed_ * speed_;
        speed_ = 0;
        moving_ = false;
        standing_s_ = 0;
        return;
    }
    speed_ = speed_after;
    slid_mm_ += speed_ * dt_s;
    heat_Nmm_ += (drag_N + damping_N) * speed_ * dt_s;
}

double Ring::stored_Nmm() const {
    const double past_mm = home() ? slid_mm_ - spec_.length_mm : 0;
    return 0.5 * spec_.mass_kg / mm_per_m * speed_ * speed_ + 0.5 * spec_.shoulder_N_per_mm * past_mm * past_mm;
}

double lets_go_at_N(const SeatSpec& seat) {
    const Ring ring(seat);
    double push_N = 0;
    for (int i = 0; i < 200; ++i) push_N = ring.holds_N(push_N);
    return push_N;
}

}  // namespace halfturn::practice
