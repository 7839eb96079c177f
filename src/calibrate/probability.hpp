// Quantiles and tail probabilities used in calibration, and the two-pass mean and standard deviation.
// Distributions are Boost.Math's (checked by its authors to full double precision); kept behind this wall.
#pragma once

#include <vector>

namespace halfturn::calibrate {

// The factor k that covers the probability p (0 < p < 1) two-sidedly.
double normal_coverage_factor(double p);
// Student's t; degrees of freedom > 0, infinity gives the normal one. JCGM 100 (GUM) G.3.
double student_coverage_factor(double p, double dof);
// The probability to exceed F with (dof1, dof2), and chi-squared with dof.
double f_tail(double f, double dof1, double dof2);
double chi_squared_tail(double chi_squared, double dof);
// The value that chi-squared with dof stays below with probability p (0 < p < 1).
double chi_squared_quantile(double p, double dof);

// Mean and standard deviation (divisor n - 1) in two passes, with the correction for the rounding of the mean
// (Chan, Golub, LeVeque 1983): data with a large common offset keep their digits, where a one-pass sum of
// squares can even turn negative. Sums are held in long double. sd is 0 for one value; an empty list gives
// zeros. NIST StRD Michelso: mean and sd to all 15 certified digits.
struct MeanAndSd {
    double mean = 0, sd = 0;
};
MeanAndSd mean_and_sd(const std::vector<double>& values);

// The middle value; the upper of the two middle ones for an even number. The list must not be empty.
double median(std::vector<double> values);

// Autocorrelation of neighbours (lag 1), sum of products over sum of squares about the mean; 0 for fewer than
// two values or no spread. NIST StRD univariate definition; Michelso to 13 digits.
double lag_one_autocorrelation(const std::vector<double>& values);

}  // namespace halfturn::calibrate
