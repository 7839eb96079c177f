// One slide as a linear problem: the force of every stretch as the sum of what the cells of the seat give, and how far each
// force may be off. seat_profile.hpp says the model; here it is in matrices.
//   const GripProblem problem(slide, set_up, trace.force_noise_N, 1);
//   problem.forward() * grip + problem.ripple() * waves  ~  problem.force()
#pragma once

#include <Eigen/Dense>
#include <vector>

#include "review/slide.hpp"

namespace halfturn::review {

class GripProblem {
public:
    static constexpr int cells = 32;  // along the seat; the grip is even within one

    // noise_N: standard deviation of one force reading. stretched: by how much each depth is taken to be longer than the curve
    // shows it (1 for as it is). Stretches at the seat's very end, where the chamfers share, are left out.
    GripProblem(const Slide& slide, const SetUp& set_up, double noise_N, double stretched);

    Eigen::Index rows() const { return force_.size(); }
    double length_mm() const { return length_mm_; }
    double seen_from_mm() const { return rows() ? engaged_mm_(0) : 0; }
    double seen_to_mm() const { return rows() ? engaged_mm_(rows() - 1) : 0; }
    double turns() const { return turns_; }  // of the screw, over which the ring slid

    // The force of each stretch (N); the share of it that each cell gives, for a grip in newtons as if the whole seat were like
    // that cell; and how a once-per-turn ripple of 1 adds to it (cosine, sine), without columns where too few turns were made.
    const Eigen::VectorXd& force() const { return force_; }
    const Eigen::MatrixXd& forward() const { return forward_; }
    const Eigen::MatrixXd& ripple() const { return ripple_; }
    // The same for a ripple of so many periods a turn.
    Eigen::MatrixXd waves(double per_turn) const;

    // Rows made so that each row's error is 1 and independent of the others: for fits that weigh all that is doubtful.
    Eigen::MatrixXd whitened(const Eigen::MatrixXd& rows) const { return covariance_root_.matrixL().solve(rows); }

    // Each row over its own scatter alone: for the inversion, so that the discrepancy principle speaks of the readings. What is
    // doubtful about the seat's fall and the zero is then this covariance beside them.
    Eigen::MatrixXd by_scatter(const Eigen::MatrixXd& rows) const { return scatter_.cwiseInverse().asDiagonal() * rows; }
    Eigen::MatrixXd fall_by_scatter() const { return by_scatter(by_scatter(fall_covariance_).transpose()); }

private:
    double length_mm_, turns_ = 0, first_N_;
    std::vector<SlideStretch> used_;
    Eigen::VectorXd engaged_mm_, share_, force_, scatter_;
    Eigen::MatrixXd forward_, ripple_, fall_covariance_;
    Eigen::LLT<Eigen::MatrixXd> covariance_root_;
};

}  // namespace halfturn::review
