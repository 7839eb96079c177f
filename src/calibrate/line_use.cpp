// What a fitted line is used for: prediction, slope and inverse.
#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <string>

#include "calibrate/line_fit.hpp"
#include "calibrate/polynomial_rows.hpp"
#include "calibrate/probability.hpp"
#include "core/failure.hpp"
#include "core/number_text.hpp"

namespace halfturn::calibrate {
namespace {

int coefficient_count(const LineFit& fit) { return static_cast<int>(fit.scaled_coefficients.size()); }

Vector scaled_coefficients(const LineFit& fit) {
    return Eigen::Map<const Vector>(fit.scaled_coefficients.data(), coefficient_count(fit));
}

// Value, slope and variance of the curve at x.
struct CurveAt {
    Real y, slope, variance;
};

CurveAt curve_at(const LineFit& fit, Real x) {
    const int p = coefficient_count(fit);
    const Real t = (x - fit.centre) / fit.scale;
    const Vector c = scaled_coefficients(fit);
    const Vector row = powers(t, fit.first_power, p);
    const Eigen::Map<const Matrix> covariance(fit.scaled_covariance.data(), p, p);
    return {row.dot(c), slopes(t, fit.first_power, p).dot(c) / fit.scale, row.dot(covariance * row)};
}

// u_y between the calibration points: linear in x, constant beyond the ends; the mean of repeats.
double interpolated_u_y(const LineFit& fit, double x) {
    std::map<double, std::pair<double, int>> at;
    for (std::size_t i = 0; i < fit.point_x.size(); ++i) {
        auto& [sum, count] = at[fit.point_x[i]];
        sum += fit.point_u_y[i];
        ++count;
    }
    const auto value = [](const auto& entry) { return entry.second.first / entry.second.second; };
    const auto above = at.lower_bound(x);
    if (above == at.begin()) return value(*above);
    const auto below = std::prev(above);
    if (above == at.end()) return value(*below);
    const double part = (x - below->first) / (above->first - below->first);
    return value(*below) + part * (value(*above) - value(*below));
}

// The x within half a range beyond the calibrated one where the curve passes y.
double crossing(const LineFit& fit, double y) {
    const double span =
        fit.x_high > fit.x_low ? fit.x_high - fit.x_low : std::max(std::fabs(fit.x_high), 1.0);
    const auto miss = [&](double x) { return static_cast<double>(curve_at(fit, x).y - y); };
    if (fit.degree == 1) {
        const auto at = curve_at(fit, fit.centre);
        if (at.slope == 0) throw BadInput("the line is level, so no x belongs to y = " + number_text(y));
        const double x = static_cast<double>(fit.centre + (y - at.y) / at.slope);
        if (x < fit.x_low - span / 2 || x > fit.x_high + span / 2)
            throw BadInput("y = " + number_text(y) + " lies at x = " + number_text(x) +
                           ", far outside the calibrated range " + number_text(fit.x_low) + " to " +
                           number_text(fit.x_high) + "; calibrate up to there");
        return x;
    }
    constexpr int cells = 2000;
    std::vector<double> found;
    const double start = fit.x_low - span / 2, step = 2 * span / cells;
    double left = start, miss_left = miss(left);
    for (int i = 1; i <= cells; ++i) {
        const double right = start + i * step;
        const double miss_right = miss(right);
        if (miss_left == 0) {
            found.push_back(left);
        } else if ((miss_left < 0) != (miss_right < 0) && miss_right != 0) {
            double a = left, b = right;
            for (int halving = 0; halving < 200 && a < b; ++halving) {
                const double middle = a + (b - a) / 2;
                if (middle <= a || middle >= b) break;
                ((miss(middle) < 0) == (miss_left < 0) ? a : b) = middle;
            }
            found.push_back(a);
        }
        left = right;
        miss_left = miss_right;
    }
    const double slack = 1e-9 * span;
    std::vector<double> inside;
    for (const double x : found)
        if (x >= fit.x_low - slack && x <= fit.x_high + slack) inside.push_back(x);
    if (inside.size() > 1)
        throw BadInput("the curve passes y = " + number_text(y) + " at more than one x (" +
                       number_text(inside[0]) + " and " + number_text(inside[1]) +
                       "); it turns back, so lower the degree");
    if (inside.size() == 1) return inside.front();
    if (found.empty())
        throw BadInput("the curve does not reach y = " + number_text(y) +
                       " anywhere near the calibrated range " + number_text(fit.x_low) + " to " +
                       number_text(fit.x_high) + "; calibrate up to there");
    const auto distance = [&](double x) { return std::max(fit.x_low - x, x - fit.x_high); };
    return *std::min_element(found.begin(), found.end(),
                             [&](double a, double b) { return distance(a) < distance(b); });
}

}  // namespace

Prediction predict(const LineFit& fit, double x, double u_x) {
    const CurveAt at = curve_at(fit, x);
    const Real from_x = at.slope * u_x;
    return {static_cast<double>(at.y),
            static_cast<double>(std::sqrt(std::max(at.variance, Real{0}) + from_x * from_x)),
            x < fit.x_low || x > fit.x_high};
}

Slope slope_at(const LineFit& fit, double x) {
    const int p = coefficient_count(fit);
    const Real t = (x - fit.centre) / fit.scale;
    const Vector row = slopes(t, fit.first_power, p) / fit.scale;
    const Eigen::Map<const Matrix> covariance(fit.scaled_covariance.data(), p, p);
    return {static_cast<double>(row.dot(scaled_coefficients(fit))),
            static_cast<double>(std::sqrt(std::max(row.dot(covariance * row), Real{0})))};
}

Inverse invert(const LineFit& fit, double y, std::optional<double> u_y_new) {
    if (fit.degree == 0)
        throw BadInput("a line of degree 0 is level and can't be inverted; use --degree 1 or more");
    if (u_y_new && !(*u_y_new >= 0)) throw BadInput("the uncertainty of y must be zero or more");
    Inverse out;
    out.x = crossing(fit, y);
    out.extrapolated = out.x < fit.x_low || out.x > fit.x_high;
    const CurveAt at = curve_at(fit, out.x);
    if (at.slope == 0)
        throw BadInput("the curve is level at y = " + number_text(y) + ", so x is undecided there");
    const double u_new = u_y_new                   ? *u_y_new
                         : fit.uncertainties_known ? interpolated_u_y(fit, out.x)
                                                   : *fit.residual_sd;
    const Real curve_variance = std::max(at.variance, Real{0});
    const Real variance = curve_variance + static_cast<Real>(u_new) * u_new;
    out.u = static_cast<double>(std::sqrt(variance) / std::fabs(at.slope));
    constexpr double probability = 0.95;
    if (fit.uncertainties_known) {
        out.k = normal_coverage_factor(probability);
    } else if (u_y_new) {
        const Real dof = curve_variance > 0
                             ? variance * variance / (curve_variance * curve_variance / fit.dof)
                             : std::numeric_limits<Real>::infinity();
        out.k = student_coverage_factor(probability, std::floor(static_cast<double>(dof)));
    } else {
        out.k = student_coverage_factor(probability, fit.dof);
    }
    if (u_y_new) {
        out.low = out.x - out.k * out.u;
        out.high = out.x + out.k * out.u;
        return out;
    }
    // Outward from x until y leaves the band around the curve, then halve.
    const auto outside = [&](double x) {
        const CurveAt here = curve_at(fit, x);
        const Real miss = y - here.y;
        return miss * miss > static_cast<Real>(out.k) * out.k *
                                 (std::max(here.variance, Real{0}) + static_cast<Real>(u_new) * u_new);
    };
    const auto end = [&](double direction) -> std::optional<double> {
        if (!(out.u > 0)) return out.x;
        // Readings without scatter: a step below the last digit of x would lead nowhere.
        const double step = std::max(out.k * out.u / 8, 2 * std::numeric_limits<double>::epsilon() * std::fabs(out.x));
        constexpr int most_steps = 400;
        double inside = out.x;
        for (int i = 1; i <= most_steps; ++i) {
            double beyond = out.x + direction * step * i;
            if (!outside(beyond)) {
                inside = beyond;
                continue;
            }
            for (int halving = 0; halving < 200; ++halving) {
                const double middle = inside + (beyond - inside) / 2;
                if (middle == inside || middle == beyond) break;
                (outside(middle) ? beyond : inside) = middle;
            }
            return inside;
        }
        return {};
    };
    out.low = end(-1);
    out.high = end(+1);
    return out;
}

}  // namespace halfturn::calibrate
