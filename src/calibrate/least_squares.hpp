// Least squares by Householder QR in long double, for the fits of this room. Not for other rooms.
#pragma once

#include <Eigen/Dense>
#include <optional>

namespace halfturn::calibrate {

using Real = long double;
using Matrix = Eigen::Matrix<Real, Eigen::Dynamic, Eigen::Dynamic>;
using Vector = Eigen::Matrix<Real, Eigen::Dynamic, 1>;

struct Solved {
    Vector coefficients;
    Matrix inverse_gram;  // (R'R)^-1
};

// Nothing when the columns of `rows` can't be told apart: their least diagonal in R is no more than 1e-17 of the largest.
inline std::optional<Solved> solve_rows(const Matrix& rows, const Vector& right) {
    const Eigen::HouseholderQR<Matrix> qr(rows);
    const Eigen::Index p = rows.cols();
    const Matrix r = qr.matrixQR().topRows(p).triangularView<Eigen::Upper>();
    const Real largest = r.diagonal().cwiseAbs().maxCoeff();
    if (!(r.diagonal().cwiseAbs().minCoeff() > largest * 1e-17L)) return {};
    const Matrix inverse_r = r.triangularView<Eigen::Upper>().solve(Matrix::Identity(p, p));
    return Solved{qr.solve(right), inverse_r * inverse_r.transpose()};
}

}  // namespace halfturn::calibrate
