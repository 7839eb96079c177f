#include "calibrate/probability.hpp"

#include <algorithm>
#include <boost/math/distributions/chi_squared.hpp>
#include <boost/math/distributions/fisher_f.hpp>
#include <boost/math/distributions/normal.hpp>
#include <boost/math/distributions/students_t.hpp>
#include <cmath>

namespace halfturn::calibrate {
namespace math = boost::math;

double normal_coverage_factor(double p) {
    return math::quantile(math::complement(math::normal_distribution<>(), (1 - p) / 2));
}

double student_coverage_factor(double p, double dof) {
    // Beyond this many degrees the two agree to 1e-8, and Boost's root finder has nothing left to find.
    if (!(dof < 1e8)) return normal_coverage_factor(p);
    return math::quantile(math::complement(math::students_t_distribution<>(dof), (1 - p) / 2));
}

double f_tail(double f, double dof1, double dof2) {
    return math::cdf(math::complement(math::fisher_f_distribution<>(dof1, dof2), f));
}

double chi_squared_tail(double chi_squared, double dof) {
    return math::cdf(math::complement(math::chi_squared_distribution<>(dof), chi_squared));
}

double chi_squared_quantile(double p, double dof) { return math::quantile(math::chi_squared_distribution<>(dof), p); }

MeanAndSd mean_and_sd(const std::vector<double>& values) {
    if (values.empty()) return {};
    const auto n = static_cast<long double>(values.size());
    long double sum = 0;
    for (const double v : values) sum += v;
    const long double mean = sum / n;
    long double squares = 0, rest = 0;
    for (const double v : values) {
        const long double d = v - mean;
        squares += d * d;
        rest += d;
    }
    const long double variance = values.size() < 2 ? 0 : (squares - rest * rest / n) / (n - 1);
    return {static_cast<double>(mean + rest / n), static_cast<double>(std::sqrt(variance))};
}

double median(std::vector<double> values) {
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

double lag_one_autocorrelation(const std::vector<double>& values) {
    const double mean = mean_and_sd(values).mean;
    long double products = 0, squares = 0;
    for (std::size_t i = 0; i < values.size(); ++i) {
        const long double d = static_cast<long double>(values[i]) - mean;
        squares += d * d;
        if (i > 0) products += d * (static_cast<long double>(values[i - 1]) - mean);
    }
    return squares > 0 ? static_cast<double>(products / squares) : 0;
}

}  // namespace halfturn::calibrate
