#include "review/smoothest_grip.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <numeric>
#include <vector>

namespace halfturn::review {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

constexpr int cells = GripProblem::cells;
constexpr double curvature_thought_possible = 0.15;
constexpr double finest_detail = 0.1;  // of the seat's length: finer, strokes and pauses would be read as seat
constexpr int most_halvings = 40;

MatrixXd roughness(double mean_N) {
    MatrixXd second = MatrixXd::Zero(cells - 2, cells);
    for (Index i = 0; i < cells - 2; ++i) {
        second(i, i) = 1;
        second(i, i + 1) = -2;
        second(i, i + 2) = 1;
    }
    return second.transpose() * second / (mean_N * mean_N);
}

// How wide a single tight cell would be drawn: a kernel of unit area that peaks at r per cell is about 1/r cells wide. Over the
// middle half, where the ends don't matter.
double resolved_mm(const MatrixXd& seen_through, const std::vector<Index>& kept, double length_mm) {
    double kernel = 0;
    int counted = 0;
    for (std::size_t j = 0; j < kept.size(); ++j) {
        if (kept[j] <= cells / 4 || kept[j] >= 3 * cells / 4) continue;
        kernel += seen_through(static_cast<Index>(j), static_cast<Index>(j));
        ++counted;
    }
    const double peak = counted > 0 ? kernel / counted : 0;
    return length_mm / cells / std::clamp(peak, 1.0 / cells, 1.0);
}

// With this weight on roughness. Cells that come out negative are set to 0 and left out, until none does.
SmoothestGrip solve_for(const GripProblem& problem, const MatrixXd& penalty, double weight) {
    const Index ripples = problem.ripple().cols();
    const MatrixXd forward = problem.by_scatter(problem.forward()), waves = problem.by_scatter(problem.ripple());
    const VectorXd data = problem.by_scatter(problem.force());
    std::vector<Index> kept(cells);
    std::iota(kept.begin(), kept.end(), Index{0});
    for (;;) {
        const auto m = static_cast<Index>(kept.size());
        MatrixXd columns(problem.rows(), m + ripples);
        MatrixXd rough = MatrixXd::Zero(m + ripples, m + ripples);
        columns.leftCols(m) = forward(Eigen::all, kept);
        columns.rightCols(ripples) = waves;
        rough.topLeftCorner(m, m) = weight * penalty(kept, kept);
        const Eigen::LDLT<MatrixXd> factor(columns.transpose() * columns + rough);
        const MatrixXd estimator = factor.solve(columns.transpose());
        const VectorXd solution = estimator * data;
        std::vector<Index> positive;
        for (Index j = 0; j < m; ++j)
            if (solution(j) >= 0) positive.push_back(kept[static_cast<std::size_t>(j)]);
        if (positive.size() != kept.size() && positive.size() >= 3) {
            kept = positive;
            continue;
        }
        const MatrixXd covariance = factor.solve(MatrixXd::Identity(m + ripples, m + ripples)) +
                                    estimator * problem.fall_by_scatter() * estimator.transpose();
        SmoothestGrip out{VectorXd::Zero(cells), VectorXd::Zero(cells)};
        for (Index j = 0; j < m; ++j) {
            const Index cell = kept[static_cast<std::size_t>(j)];
            out.grip_N(cell) = std::max(0.0, solution(j));
            out.u_N(cell) = std::sqrt(std::max(0.0, covariance(j, j)));
        }
        out.chi2 = (data - columns * solution).squaredNorm();
        out.resolved_mm = resolved_mm(estimator * columns, kept, problem.length_mm());
        return out;
    }
}

}  // namespace

SmoothestGrip smoothest_grip(const GripProblem& problem, double mean_N) {
    const MatrixXd penalty = roughness(mean_N);
    // Random second differences of this size bend the seat's middle by the curvature thought possible.
    const double per_cell = curvature_thought_possible * 4 * std::sqrt(3.0) / std::pow(cells, 1.5);
    double weight = 1 / (per_cell * per_cell);
    const auto rows = static_cast<double>(problem.rows());
    SmoothestGrip best = solve_for(problem, penalty, weight);
    for (int step = 0; step < most_halvings && best.chi2 > rows; ++step) {
        weight /= 2;
        SmoothestGrip next = solve_for(problem, penalty, weight);
        if (next.resolved_mm < finest_detail * problem.length_mm()) break;
        best = std::move(next);
    }
    // What is left unexplained is scatter too, of whatever cause.
    best.u_N *= std::sqrt(std::max(1.0, best.chi2 / rows));
    return best;
}

}  // namespace halfturn::review
