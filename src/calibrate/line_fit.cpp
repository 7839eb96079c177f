#include "calibrate/line_fit.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <string>

#include "calibrate/polynomial_rows.hpp"
#include "calibrate/probability.hpp"
#include "core/failure.hpp"
#include "core/number_text.hpp"

namespace halfturn::calibrate {
namespace {

constexpr int highest_degree = 12;

Solved solve(const Matrix& rows, const Vector& right) {
    if (auto solved = solve_rows(rows, right)) return *std::move(solved);
    throw BadInput(
        "the readings lie too close together in x for this degree, or their u_y too far apart; lower the degree or spread the "
        "points");
}

void check(const LineData& data, int degree, bool through_origin) {
    const std::size_t n = data.x.size();
    const auto right_length = [&](const std::vector<double>& v) { return v.empty() || v.size() == n; };
    if (n == 0 || data.y.size() != n || !right_length(data.u_x) || !right_length(data.u_y))
        throw BadInput("a calibration line needs one y (and one u_x, u_y where given) for every x");
    if (degree < (through_origin ? 1 : 0) || degree > highest_degree)
        throw BadInput("the degree must be from " + std::string(through_origin ? "1" : "0") + " to " +
                       std::to_string(highest_degree) + ", but is " + std::to_string(degree));
    for (const double u : data.u_y)
        if (!(u > 0))
            throw BadInput("every u_y must be a standard uncertainty above zero, but one is " +
                           number_text(u));
    for (const double u : data.u_x)
        if (!(u >= 0))
            throw BadInput("every u_x must be a standard uncertainty, zero or more, but one is " +
                           number_text(u));
    if (!data.u_x.empty() && data.u_y.empty())
        throw BadInput(
            "u_x is given without u_y; give the standard uncertainty of y too, since only their ratio "
            "decides");
    std::vector<double> different = data.x;
    std::sort(different.begin(), different.end());
    different.erase(std::unique(different.begin(), different.end()), different.end());
    if (through_origin) std::erase(different, 0.0);
    const auto needed = static_cast<std::size_t>(degree) + (through_origin ? 0 : 1);
    if (different.size() < needed)
        throw BadInput("a line of degree " + std::to_string(degree) + " needs readings at " +
                       std::to_string(needed) + " or more different x" +
                       (through_origin ? " other than 0" : "") + ", but there are " +
                       std::to_string(different.size()));
    if (data.u_y.empty() && n <= needed)
        throw BadInput(
            "with " + std::to_string(n) + " readings a line of degree " + std::to_string(degree) +
            " leaves no residual to judge it by; take more readings, lower the degree or give u_y");
}

// Errors in x and y: Gauss-Newton on the coefficients; each true abscissa is set to its best value for the
// current line.
struct Distance {
    Solved solved;
    Vector weighted_residuals;
};

Distance fit_distance(const Vector& t, const Vector& y, const Vector& u_t, const Vector& u_y, Vector c,
                      int first_power) {
    const Eigen::Index n = t.size();
    const int p = static_cast<int>(c.size());
    Vector foot = t;
    Distance out;
    constexpr int most_steps = 500;
    Real step_before = std::numeric_limits<Real>::infinity();
    for (int step = 0; step < most_steps; ++step) {
        Matrix rows(n, p);
        Vector right(n);
        for (Eigen::Index i = 0; i < n; ++i) {
            const Vector value = powers(foot(i), first_power, p);
            const Real slope = slopes(foot(i), first_power, p).dot(c);
            const Real spread = std::sqrt(u_y(i) * u_y(i) + slope * slope * u_t(i) * u_t(i));
            rows.row(i) = value.transpose() / spread;
            right(i) = (y(i) - value.dot(c) - slope * (t(i) - foot(i))) / spread;
        }
        out.solved = solve(rows, right);
        out.weighted_residuals = right;
        const Vector change = out.solved.coefficients;
        c += change;
        Real moved = 0;
        for (Eigen::Index i = 0; i < n; ++i) {
            const Vector value = powers(foot(i), first_power, p);
            const Real slope = slopes(foot(i), first_power, p).dot(c);
            const Real variance = u_y(i) * u_y(i) + slope * slope * u_t(i) * u_t(i);
            const Real miss = y(i) - value.dot(c) - slope * (t(i) - foot(i));
            const Real next = t(i) + slope * u_t(i) * u_t(i) * miss / variance;
            moved = std::max(moved, std::fabs(next - foot(i)));
            foot(i) = next;
        }
        const Real size =
            change.cwiseAbs().maxCoeff() / std::max(c.cwiseAbs().maxCoeff(), Real{1e-300L}) + moved;
        // Done when the steps no longer shrink and are at rounding level.
        if (size < 1e-16L || (size < 1e-12L && size >= step_before)) {
            out.solved.coefficients = c;
            return out;
        }
        step_before = size;
    }
    throw BadInput(
        "the fit with u_x does not settle; the uncertainties in x may be as large as the spacing of the "
        "points");
}

// Coefficients in t to coefficients in x: x^j appears in ((x - centre)/scale)^k with a binomial factor.
Matrix back_to_x(int first_power, int count, Real centre, Real scale) {
    Matrix out = Matrix::Zero(count, count);
    for (int k = 0; k < count; ++k) {
        const int power = first_power + k;
        Real binomial = 1;
        for (int j = power; j >= first_power; --j) {
            out(j - first_power, k) = binomial * std::pow(-centre, static_cast<Real>(power - j)) /
                                      std::pow(scale, static_cast<Real>(power));
            binomial = binomial * static_cast<Real>(j) / static_cast<Real>(power - j + 1);
        }
    }
    return out;
}

std::optional<LackOfFit> lack_of_fit(const LineData& data, const Vector& residuals, const Vector& weight,
                                     int p) {
    std::map<double, std::vector<Eigen::Index>> groups;
    for (std::size_t i = 0; i < data.x.size(); ++i) groups[data.x[i]].push_back(static_cast<Eigen::Index>(i));
    LackOfFit out;
    out.dof_lack = static_cast<int>(groups.size()) - p;
    out.dof_pure = static_cast<int>(data.x.size() - groups.size());
    if (out.dof_lack < 1 || out.dof_pure < 1) return {};
    Real pure = 0, lack = 0;
    for (const auto& [x, members] : groups) {
        Real sum = 0, weights = 0;
        for (const auto i : members) {
            sum += weight(i) * residuals(i);
            weights += weight(i);
        }
        const Real mean = sum / weights;
        for (const auto i : members) pure += weight(i) * (residuals(i) - mean) * (residuals(i) - mean);
        lack += weights * mean * mean;
    }
    if (!(pure > 0)) return {};
    out.F = static_cast<double>(lack / out.dof_lack / (pure / out.dof_pure));
    out.p = f_tail(out.F, out.dof_lack, out.dof_pure);
    return out;
}

}  // namespace

LineFit fit_line(const LineData& data, int degree, bool through_origin) {
    check(data, degree, through_origin);
    const auto n = static_cast<Eigen::Index>(data.x.size());
    LineFit fit;
    fit.degree = degree;
    fit.through_origin = through_origin;
    fit.first_power = through_origin ? 1 : 0;
    const int p = degree + 1 - fit.first_power;
    const auto [low, high] = std::minmax_element(data.x.begin(), data.x.end());
    fit.x_low = *low;
    fit.x_high = *high;
    if (!through_origin) fit.centre = (static_cast<Real>(*low) + *high) / 2;
    fit.scale = through_origin
                    ? std::max(std::fabs(static_cast<Real>(*low)), std::fabs(static_cast<Real>(*high)))
                    : (static_cast<Real>(*high) - *low) / 2;
    if (!(fit.scale > 0)) fit.scale = 1;
    fit.uncertainties_known = !data.u_y.empty();
    fit.point_x = data.x;
    fit.point_u_y = data.u_y;

    Vector t(n), y(n), weight = Vector::Ones(n);
    Matrix rows(n, p);
    Vector right(n);
    for (Eigen::Index i = 0; i < n; ++i) {
        const auto at = static_cast<std::size_t>(i);
        t(i) = (static_cast<Real>(data.x[at]) - fit.centre) / fit.scale;
        y(i) = data.y[at];
        if (fit.uncertainties_known) weight(i) = 1 / (static_cast<Real>(data.u_y[at]) * data.u_y[at]);
        rows.row(i) = powers(t(i), fit.first_power, p).transpose() * std::sqrt(weight(i));
        right(i) = y(i) * std::sqrt(weight(i));
    }
    Solved solved = solve(rows, right);
    const bool errors_in_x = std::any_of(data.u_x.begin(), data.u_x.end(), [](double u) { return u > 0; });
    std::optional<Real> chi2;
    if (errors_in_x) {
        Vector u_t(n), u_y(n);
        for (Eigen::Index i = 0; i < n; ++i) {
            u_t(i) = data.u_x[static_cast<std::size_t>(i)] / fit.scale;
            u_y(i) = data.u_y[static_cast<std::size_t>(i)];
        }
        const Distance distance = fit_distance(t, y, u_t, u_y, solved.coefficients, fit.first_power);
        solved = distance.solved;
        chi2 = distance.weighted_residuals.squaredNorm();
    }
    Vector residuals(n);
    for (Eigen::Index i = 0; i < n; ++i)
        residuals(i) = y(i) - powers(t(i), fit.first_power, p).dot(solved.coefficients);
    const Real squares = residuals.squaredNorm();
    const Real weighted_squares = residuals.cwiseProduct(weight).dot(residuals);
    if (fit.uncertainties_known && !chi2) chi2 = weighted_squares;
    fit.dof = static_cast<int>(n) - p;
    if (fit.dof > 0) fit.residual_sd = static_cast<double>(std::sqrt(squares / fit.dof));
    if (chi2) fit.chi2 = static_cast<double>(*chi2);
    const Real factor = fit.uncertainties_known ? Real{1} : squares / fit.dof;
    const Matrix scaled_covariance = solved.inverse_gram * factor;
    const Matrix to_x = back_to_x(fit.first_power, p, fit.centre, fit.scale);
    const Vector coefficients = to_x * solved.coefficients;
    const Matrix covariance = to_x * scaled_covariance * to_x.transpose();
    for (int i = 0; i < p; ++i) {
        fit.coefficients.push_back(static_cast<double>(coefficients(i)));
        fit.standard_uncertainties.push_back(
            static_cast<double>(std::sqrt(std::max(covariance(i, i), Real{0}))));
        fit.covariance.emplace_back();
        for (int j = 0; j < p; ++j) {
            fit.covariance.back().push_back(static_cast<double>(covariance(i, j)));
            fit.scaled_covariance.push_back(scaled_covariance(i, j));
        }
        fit.scaled_coefficients.push_back(solved.coefficients(i));
    }
    for (Eigen::Index i = 0; i < n; ++i) fit.residuals.push_back(static_cast<double>(residuals(i)));
    const Real mean = through_origin ? Real{0} : weight.dot(y) / weight.sum();
    const Vector about_mean = y.array() - mean;
    const Real total = about_mean.cwiseProduct(weight).dot(about_mean);
    fit.r_squared = total > 0 ? static_cast<double>(1 - weighted_squares / total) : 1;
    if (!errors_in_x) fit.lack_of_fit = lack_of_fit(data, residuals, weight, p);
    const auto usable = [](const std::vector<double>& v) {
        return std::all_of(v.begin(), v.end(), [](double value) { return std::isfinite(value); });
    };
    if (!usable(fit.coefficients) || !usable(fit.standard_uncertainties))
        throw BadInput("the numbers are too large or too small to fit; use a larger or smaller unit");
    return fit;
}

DegreeChoice choose_degree(const LineData& data, int highest, bool through_origin) {
    const LineData plain{data.x, data.y, {}, {}};
    std::vector<double> different = data.x;
    std::sort(different.begin(), different.end());
    different.erase(std::unique(different.begin(), different.end()), different.end());
    // One point beyond what the curve can swallow, or the test has nothing to compare with.
    const auto spare = static_cast<int>(std::min(different.size(), data.x.size())) - (through_origin ? 1 : 2);
    highest = std::max(1, std::min(highest, spare));
    std::vector<LineFit> fits;
    std::vector<Real> squares;
    for (int degree = 1; degree <= highest; ++degree) {
        fits.push_back(fit_line(plain, degree, through_origin));
        Real sum = 0;
        for (const double r : fits.back().residuals) sum += static_cast<Real>(r) * r;
        squares.push_back(sum);
    }
    // A scatter at the level of rounding (of the readings as doubles) means the curve is exact: nothing more
    // to find.
    Real size = 0;
    for (const double y : data.y) size = std::max(size, std::fabs(static_cast<Real>(y)));
    const Real rounding = 1e-28L * size * size * static_cast<Real>(data.y.size());
    DegreeChoice choice;
    choice.degree = highest;
    bool chosen = false;
    for (int degree = 1; degree <= highest; ++degree) {
        const auto at = static_cast<std::size_t>(degree - 1);
        DegreeChoice::Candidate candidate{degree, *fits[at].residual_sd, 1, {}};
        if (fits[at].lack_of_fit) candidate.p_lack = fits[at].lack_of_fit->p;
        const int terms = highest - degree;
        if (terms > 0 && squares[at] > rounding) {
            const Real scatter = squares.back() / fits.back().dof;
            const Real f = (squares[at] - squares.back()) / terms / std::max(scatter, Real{1e-4000L});
            candidate.p_higher =
                scatter > 0 ? f_tail(static_cast<double>(std::max(f, Real{0})), terms, fits.back().dof) : 0;
        }
        if (!chosen && candidate.p_higher >= 0.05) {
            choice.degree = degree;
            chosen = true;
        }
        choice.candidates.push_back(candidate);
    }
    return choice;
}

}  // namespace halfturn::calibrate
