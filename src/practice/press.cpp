#include "practice/press.hpp"

#include <algorithm>
#include <cmath>

namespace halfturn::practice {

double Press::squeeze_mm() const {
    return screw_mm_ - spec_.slack_mm - jumped_mm_ - relaxed_mm_ - ring_.slid_mm() - ring_.pivot_mm();
}

double Press::spring_N(double squeeze_mm) const {
    if (squeeze_mm <= 0) return 0;
    return spec_.stiffness_N_per_mm * squeeze_mm * squeeze_mm / (squeeze_mm + spec_.toe_mm);
}

double Press::spring_Nmm(double squeeze_mm) const {
    if (squeeze_mm <= 0) return 0;
    const double u = squeeze_mm, toe = spec_.toe_mm;
    const double bedded = toe > 0 ? toe * toe * std::log1p(u / toe) - toe * u : 0;
    return spec_.stiffness_N_per_mm * (0.5 * u * u + bedded);
}

void Press::step(double dt_s, double turns_per_s) {
    const double creeping = force_N_ > spec_.creeping_above_N ? spec_.creeping_share : 0;
    const double advance_mm = spec_.pitch_mm * turns_per_s * (1 - creeping) * dt_s;
    const double before_N = force_N_;
    turns_ += turns_per_s * dt_s;
    screw_mm_ += advance_mm;
    force_N_ = spring_N(squeeze_mm());
    work_Nmm_ += 0.5 * (before_N + force_N_) * advance_mm;

    if (spec_.relaxing_share > 0) {
        const double late_N_per_mm = spec_.stiffness_N_per_mm / spec_.relaxing_share;
        const double gives_mm = (force_N_ / late_N_per_mm - relaxed_mm_) * dt_s / spec_.relaxing_s;
        heat_Nmm_ += (force_N_ - late_N_per_mm * relaxed_mm_) * gives_mm;
        relaxed_mm_ += gives_mm;
    }
    if (spec_.slips_at_N > 0 && !drift_slipped_ && force_N_ >= spec_.slips_at_N) {
        drift_slipped_ = true;
        heat_Nmm_ += spring_Nmm(squeeze_mm());
        jumped_mm_ += squeeze_mm() + spec_.slip_gap_mm;
        force_N_ = 0;
    }
    ring_.turned_to(turns_);
    ring_.step(dt_s, force_N_);
    force_N_ = spring_N(squeeze_mm());
}

void Press::advance(double dt_s, double turns_per_s) {
    const double moving_step_s = ring_.longest_step_s(spec_.stiffness_N_per_mm);
    for (double left_s = dt_s; left_s > 1e-12;) {
        const double step_s = ring_.moving() ? std::min(moving_step_s, left_s) : left_s;
        step(step_s, turns_per_s);
        left_s -= step_s;
    }
}

double Press::accounted_Nmm() const {
    double late = 0;
    if (spec_.relaxing_share > 0)
        late = 0.5 * spec_.stiffness_N_per_mm / spec_.relaxing_share * relaxed_mm_ * relaxed_mm_;
    return spring_Nmm(squeeze_mm()) + late + heat_Nmm_ + ring_.heat_Nmm() + ring_.stored_Nmm();
}

}  // namespace halfturn::practice
