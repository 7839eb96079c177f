// Fits a polynomial calibration line to readings, with uncertainties in y, in x and y, or unknown; predicts
// with it and inverts it.
#pragma once

#include <cstddef>
#include <optional>
#include <vector>

namespace halfturn::calibrate {

// Readings to fit. u_y and u_x are standard uncertainties, one per point, or empty where unknown (u_y) or nil
// (u_x).
struct LineData {
    std::vector<double> x, y, u_x, u_y;
};

struct LackOfFit {
    double F = 0,
           p = 0;  // p: how often repetition alone would give such an F. Below 0.05 the degree is too low.
    int dof_lack = 0, dof_pure = 0;
};

// y = sum of coefficients[j] * x^(first_power + j).
struct LineFit {
    int degree = 1;
    bool through_origin = false;
    int first_power = 0;                          // 1 through the origin, else 0
    std::vector<double> coefficients;             // of x^first_power, x^(first_power+1), …
    std::vector<double> standard_uncertainties;   // of the coefficients
    std::vector<std::vector<double>> covariance;  // of the coefficients
    // Residuals are measured in y. residual_sd = sqrt(sum of squares / dof), whatever the weights; nothing
    // when dof = 0.
    std::vector<double> residuals;
    std::optional<double> residual_sd;
    int dof = 0;                           // points - coefficients
    std::optional<double> chi2;            // only with u_y given: sum of weighted squares at the solution
    std::optional<LackOfFit> lack_of_fit;  // only with repeated x, and without u_x
    double r_squared = 0;                  // through the origin about y = 0, else about the (weighted) mean
    bool uncertainties_known = false;      // u_y was given: the covariance comes from it, not from residuals
    double x_low = 0, x_high = 0;          // the calibrated range

    // The same line in t = (x - centre) / scale, where the digits are: use it to evaluate.
    long double centre = 0, scale = 1;
    std::vector<long double> scaled_coefficients, scaled_covariance;  // covariance row by row
    std::vector<double> point_x, point_u_y;  // kept for the uncertainty of one new observation
};

// Method: Householder QR in long double (never the normal equations) on x moved to its middle and scaled to
// [-1, 1] (through the origin: scaled only), rows weighted by 1/u_y. With u_x: generalised distance
// regression after ISO/TS 28037:2010 clause 7, by Gauss-Newton steps on the coefficients with the true
// abscissae eliminated, for any degree. Covariance: (R'R)^-1, times residual_sd squared when u_y is unknown.
// Lack of fit: F test of the standard textbooks (Draper and Smith, Applied Regression Analysis, chapter 1.5),
// (weighted) squares. Range: degree 0 to 12, and at least degree + 1 different x (degree through the origin);
// 2 points more are wise. Errors: BadInput (too few points, no spread, u not positive, no convergence when
// u_x is large against the spacing). Digits of the coefficients that agree with the certified ones (NIST
// StRD, tests/calibrate/line_fit_test.cpp):
//   Norris 12, Pontius 12, NoInt1 14, NoInt2 14, Wampler1 10, Wampler2 11, Wampler3 10;
//   standard uncertainties: 12 or more in all of them. ISO/TS 28037 clause 6 examples: all printed digits.
LineFit fit_line(const LineData& data, int degree, bool through_origin);

// The curve's y and its standard uncertainty from the coefficients' covariance; u_x adds that of x (slope *
// u_x).
struct Prediction {
    double y = 0, u = 0;
    bool extrapolated = false;
};
Prediction predict(const LineFit& fit, double x, double u_x = 0);

// dy/dx of the curve and its standard uncertainty from the coefficients' covariance.
struct Slope {
    double value = 0, u = 0;
};
Slope slope_at(const LineFit& fit, double x);

// The lowest degree from 1 to `highest` whose missing higher terms don't show: the F test of all terms up to
// `highest` against the scatter left by the curve of that degree (extra sum of squares, Draper and Smith
// chapter 6) stays above p = 0.05. Testing them together sees a cubic part that hides behind a missing
// square. Readings without uncertainties.
struct DegreeChoice {
    int degree = 1;
    struct Candidate {
        int degree = 0;
        double residual_sd = 0;
        double p_higher = 1;           // of the higher terms together; 1 for the highest
        std::optional<double> p_lack;  // lack of fit, where there are repeats
    };
    std::vector<Candidate> candidates;  // those the number of points allows
};
DegreeChoice choose_degree(const LineData& data, int highest, bool through_origin);

// The x that gives y, its standard uncertainty by the law of propagation (GUM), and a 95 % interval.
// With u_y_new (the standard uncertainty of y): the interval is x ± k u, with k for Welch-Satterthwaite
// degrees of freedom (normal when the curve's own uncertainty is known) — the way of ISO/TS 28037 clause 11
// and the GUM. Without it: for one new observation scattered like the calibration's own (residual_sd, or u_y
// interpolated between the points where it was given); the interval is where the observation's 95 % band
// around the curve holds y (Fieller 1954; Draper and Smith 3.2; NIST/SEMATECH e-Handbook 4.5.2.1), which is
// not symmetric about x. An end is nothing where that set has no end (the slope is not significant). Errors:
// BadInput when the curve reaches y nowhere within half a range beyond the calibrated one, or more than once
// inside it, or degree is 0.
struct Inverse {
    double x = 0, u = 0;
    std::optional<double> low, high;
    double k = 0;
    bool extrapolated = false;
};
Inverse invert(const LineFit& fit, double y, std::optional<double> u_y_new);

}  // namespace halfturn::calibrate
