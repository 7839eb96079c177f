#include "review/shape_fit.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>

namespace halfturn::review {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

double Form::at(double z) const {
    switch (shape) {
        case SeatShape::tapered: return z - 0.5;
        case SeatShape::bell_mouthed: return z < to ? -(1 - z / to) : 0;
        case SeatShape::worn_band: return z > from && z < to ? -1 : 0;
        case SeatShape::burr: return z > from && z < to ? 1 : 0;
        case SeatShape::cant_tell:
        case SeatShape::even: break;
    }
    return 0;
}

// Not the first sixth at the mouth, where chamfers take over, nor for bands and burrs the inner end, which passes while the
// ring comes loose.
std::vector<Form> seat_forms() {
    constexpr double mouth = 0.18, band_end = 0.92, burr_end = 0.88;
    std::vector<Form> forms{{SeatShape::tapered, 0, 1}};
    for (const double to : {0.25, 0.33, 0.42, 0.5}) forms.push_back({SeatShape::bell_mouthed, 0, to});
    for (const double wide : {0.12, 0.2, 0.28, 0.36, 0.45})
        for (double middle = mouth + wide / 2; middle + wide / 2 < band_end; middle += 0.04)
            forms.push_back({SeatShape::worn_band, middle - wide / 2, middle + wide / 2});
    for (const double wide : {0.05, 0.1, 0.16})
        for (double middle = mouth + wide / 2; middle + wide / 2 < burr_end; middle += 0.03)
            forms.push_back({SeatShape::burr, middle - wide / 2, middle + wide / 2});
    return forms;
}

namespace {

// A cell that a band only partly covers gets that part.
VectorXd by_cells(const Form& form) {
    constexpr int within = 8;
    VectorXd shape = VectorXd::Zero(GripProblem::cells);
    for (Index j = 0; j < GripProblem::cells; ++j)
        for (int k = 0; k < within; ++k)
            shape(j) += form.at((static_cast<double>(j) + (k + 0.5) / within) / GripProblem::cells) / within;
    return shape;
}

}  // namespace

FormFitter::FormFitter(const GripProblem& problem)
    : forward_(problem.whitened(problem.forward())),
      ripple_(problem.whitened(problem.ripple())),
      force_(problem.whitened(problem.force())) {}

FormFit FormFitter::even() const { return fit(nullptr, ripple_); }
FormFit FormFitter::with(const Form& form) const { return fit(&form, ripple_); }
FormFit FormFitter::with(const Form& form, const MatrixXd& waves) const { return fit(&form, waves); }

FormFit FormFitter::fit(const Form* form, const MatrixXd& waves) const {
    MatrixXd columns(force_.size(), (form ? 2 : 1) + waves.cols());
    columns.col(0) = forward_ * VectorXd::Ones(GripProblem::cells);
    if (form) columns.col(1) = forward_ * by_cells(*form);
    columns.rightCols(waves.cols()) = waves;
    const MatrixXd normal = columns.transpose() * columns;
    const Eigen::LDLT<MatrixXd> factor(normal);
    FormFit out;
    out.solution = factor.solve(columns.transpose() * force_);
    out.chi2 = (force_ - columns * out.solution).squaredNorm();
    out.misfit = std::max(1.0, out.chi2 / static_cast<double>(force_.size() - normal.rows()));
    out.base_N = out.solution(0);
    if (form && out.base_N > 0) {
        out.size = out.solution(1) / out.base_N;
        const MatrixXd covariance = factor.solve(MatrixXd::Identity(normal.rows(), normal.cols()));
        out.u_size = std::sqrt(out.misfit * (covariance(1, 1) - 2 * out.size * covariance(0, 1) + out.size * out.size * covariance(0, 0))) /
                     out.base_N;
    }
    return out;
}

}  // namespace halfturn::review
