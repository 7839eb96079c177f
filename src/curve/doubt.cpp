#include "curve/doubt.hpp"

#include <cmath>

namespace halfturn::curve {

namespace {


double tail(double q) {  // q = sqrt(-2 ln p), p below 0.02425
    return (((((-7.784894002430293e-03 * q - 3.223964580411365e-01) * q - 2.400758277161838e+00) * q -
              2.549732539343734e+00) *
                 q +
             4.374664141464968e+00) *
                q +
            2.938163982698783e+00) /
           ((((7.784695709041462e-03 * q + 3.224671290700398e-01) * q + 2.445134137142996e+00) * q +
             3.754408661907416e+00) *
                q +
            1);
}

}  // namespace

double normal_quantile(double u) {
    constexpr double low = 0.02425;
    if (u < low) return tail(std::sqrt(-2 * std::log(u)));
    if (u > 1 - low) return -tail(std::sqrt(-2 * std::log(1 - u)));
    const double q = u - 0.5, r = q * q;
    return (((((-3.969683028665376e+01 * r + 2.209460984245205e+02) * r - 2.759285104469687e+02) * r +
              1.383577518672690e+02) *
                 r -
             3.066479806614716e+01) *
                r +
            2.506628277459239e+00) *
           q /
           (((((-5.447609879822406e+01 * r + 1.615858368580409e+02) * r - 1.556989798598866e+02) * r +
              6.680131188771972e+01) *
                 r -
             1.328068155288572e+01) *
                r +
            1);
}

Doubt log_range(double low, double high, fit::Source source) {
    const double centre = std::sqrt(low * high);
    return {Spread::log_range, low, high, std::move(source), centre, std::log(high / centre) / z_975};
}

double Doubt::at(double u) const {
    switch (spread) {
        case Spread::exact:
            break;
        case Spread::normal:
            return a + b * normal_quantile(u);
        case Spread::rectangular:
            return a + (b - a) * u;
        case Spread::log_range:
            return centre * std::exp(sigma * normal_quantile(u));
    }
    return a;
}

}  // namespace halfturn::curve
