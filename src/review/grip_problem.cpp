#include "review/grip_problem.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace halfturn::review {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

constexpr double fall_doubt = 0.02, fall_doubt_reach = 0.2;  // of the full grip; of the seat's length
constexpr double least_scatter = 0.01;                       // of the force: no slide is smoother
constexpr double least_engaged_out = 0.05;  // of the seat: the chamfers' share
constexpr double least_engaged_in = 0.15;   // going in, contact is only felt
constexpr double turns_for_ripple = 1.6;

// What is wrong in the same direction for stretches near each other: how an even seat's force falls. The zero, as good as the
// readings it was taken from, is off by the same for all.
MatrixXd fall_covariance(const VectorXd& engaged_mm, double doubt_N, double reach_mm, double zero_N) {
    MatrixXd covariance(engaged_mm.size(), engaged_mm.size());
    for (Index i = 0; i < engaged_mm.size(); ++i)
        for (Index j = 0; j < engaged_mm.size(); ++j) {
            const double apart = (engaged_mm(i) - engaged_mm(j)) / reach_mm;
            covariance(i, j) = doubt_N * doubt_N * std::exp(-0.5 * apart * apart) + zero_N * zero_N;
        }
    return covariance;
}

}  // namespace

GripProblem::GripProblem(const Slide& slide, const SetUp& set_up, double noise_N, double stretched)
    : length_mm_(slide.length_mm), first_N_(slide.first_N) {
    const double least = set_up.work == Work::out ? least_engaged_out : least_engaged_in;
    for (const SlideStretch& s : slide.stretches)
        if (s.engaged_mm * stretched > least * length_mm_) used_.push_back(s);
    const auto n = static_cast<Index>(used_.size());
    if (n > 0) turns_ = std::fabs(used_.front().turns - used_.back().turns);
    engaged_mm_.resize(n);
    share_.resize(n);
    force_.resize(n);
    scatter_.resize(n);
    forward_.resize(n, cells);
    const double cell_mm = length_mm_ / cells;
    for (Index i = 0; i < n; ++i) {
        const SlideStretch& s = used_[static_cast<std::size_t>(i)];
        engaged_mm_(i) = std::min(s.engaged_mm * stretched, length_mm_);
        share_(i) = grip_share(set_up, engaged_mm_(i));
        force_(i) = s.force_N;
        scatter_(i) = std::hypot(std::max(slide.scatter_N, least_scatter * std::fabs(s.force_N)),
                                 noise_N / std::sqrt(std::max(s.readings, 1.0)));
        for (Index j = 0; j < cells; ++j) {
            const double covered_mm = std::clamp(engaged_mm_(i) - cell_mm * static_cast<double>(j), 0.0, cell_mm);
            forward_(i, j) = share_(i) * covered_mm / engaged_mm_(i);
        }
    }
    ripple_ = turns_ >= turns_for_ripple ? waves(1) : MatrixXd(n, 0);
    fall_covariance_ = fall_covariance(engaged_mm_, fall_doubt * first_N_, fall_doubt_reach * length_mm_, noise_N);
    MatrixXd covariance = fall_covariance_;
    covariance.diagonal() += scatter_.cwiseAbs2();
    covariance_root_.compute(covariance);
}

MatrixXd GripProblem::waves(double per_turn) const {
    MatrixXd columns(rows(), 2);
    for (Index i = 0; i < rows(); ++i) {
        const double angle = 2 * std::numbers::pi * per_turn * used_[static_cast<std::size_t>(i)].turns;
        columns(i, 0) = first_N_ * share_(i) * std::cos(angle);
        columns(i, 1) = first_N_ * share_(i) * std::sin(angle);
    }
    return columns;
}

}  // namespace halfturn::review
