// A quantity that is not known exactly: a value with a distribution, and what it rests on.
//   Doubt friction = log_range(0.08, 0.28, {Basis::assumed, "…"});  friction.at(0.5) == 0.1497
#pragma once

#include <utility>

#include "fit/provenance.hpp"

namespace halfturn::curve {

// Two-sided 95 % of a normal distribution: its 97.5 % quantile.
inline constexpr double z_975 = 1.959963984540054;

enum class Spread {
    exact,
    normal,       // a measured value and its standard uncertainty
    rectangular,  // only the limits are known (GUM 4.3.7)
    log_range,    // log-normal; the two values hold 95 % between them
};

struct Doubt {
    Spread spread = Spread::exact;
    double a = 0;  // exact: the value; normal: the mean; else the lower value
    double b = 0;  // normal: the standard uncertainty; else the upper value
    fit::Source source;
    double centre = 0, sigma = 0;  // of a log_range: its median and the standard deviation of its logarithm

    // The quantile: u in (0, 1). Increasing in u.
    double at(double u) const;
    double middle() const { return at(0.5); }
    bool known() const { return spread == Spread::exact || a == b; }
};

inline Doubt exactly(double value, fit::Source source) {
    return {Spread::exact, value, 0, std::move(source), 0, 0};
}
inline Doubt normal(double mean, double u, fit::Source source) {
    return u > 0 ? Doubt{Spread::normal, mean, u, std::move(source), 0, 0} : exactly(mean, std::move(source));
}
inline Doubt between(double low, double high, fit::Source source) {
    return {Spread::rectangular, low, high, std::move(source), 0, 0};
}
Doubt log_range(double low, double high, fit::Source source);  // 0 < low <= high

// Quantile of the standard normal distribution, u in (0, 1): Acklam's rational approximation, relative
// error 1.2e-9.
double normal_quantile(double u);

}  // namespace halfturn::curve
