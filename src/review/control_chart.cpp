#include "review/control_chart.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "calibrate/probability.hpp"

namespace halfturn::review {
namespace {

constexpr double limit_sigmas = 3;
constexpr double confidence = 0.95;

// Mean and standard deviation of the range of two normal values of standard deviation 1.
const double d2 = 2 / std::sqrt(std::numbers::pi);
const double d3 = std::sqrt(2 - d2 * d2);

}  // namespace

ControlChart individuals_chart(const std::vector<ChartValue>& values, const ChartOptions& options) {
    ControlChart chart;
    chart.base = options.base > 0 ? std::min(options.base, values.size()) : values.size();
    double sum = 0, range_sum = 0;
    for (std::size_t i = 0; i < values.size(); ++i) {
        chart.moving_range.emplace_back();
        if (i > 0 && !values[i].gap_before) chart.moving_range.back() = std::fabs(values[i].value - values[i - 1].value);
        if (i >= chart.base) continue;
        sum += values[i].value;
        if (!chart.moving_range.back()) continue;
        range_sum += *chart.moving_range.back();
        ++chart.ranges;
    }
    if (chart.base > 0) chart.centre = sum / static_cast<double>(chart.base);
    if (chart.ranges < ControlChart::least_ranges) {
        chart.why_not = "limits need at least " + std::to_string(ControlChart::least_ranges) +
                        " steps between neighbouring jobs; there are " + std::to_string(chart.ranges);
        return chart;
    }
    chart.mean_range = range_sum / static_cast<double>(chart.ranges);
    if (!(chart.mean_range > 0)) {
        chart.why_not = "all values are the same, so there is nothing to set limits by";
        return chart;
    }
    chart.known = true;
    chart.provisional = chart.base < ControlChart::steady_values;
    chart.sigma = chart.mean_range / d2;
    chart.low = chart.centre - limit_sigmas * chart.sigma;
    chart.high = chart.centre + limit_sigmas * chart.sigma;
    chart.range_high = chart.mean_range * (1 + limit_sigmas * d3 / d2);
    std::vector<double> distances;
    std::vector<bool> gaps;
    for (const ChartValue& one : values) {
        distances.push_back((one.value - chart.centre) / chart.sigma);
        gaps.push_back(one.gap_before);
    }
    chart.runs = find_runs(distances, gaps, options.rules);
    return chart;
}

std::optional<Capability> capability(const std::vector<double>& values, std::optional<double> low, std::optional<double> high) {
    if (values.size() < 3 || (!low && !high) || (low && high && !(*low < *high))) return {};
    const auto [mean, sd] = calibrate::mean_and_sd(values);
    if (!(sd > 0)) return {};
    Capability out{low, high, values.size(), mean, sd, {}, {}, {}, 0, 0, 0};
    const double n = static_cast<double>(values.size()), dof = n - 1;
    if (low && high) {
        out.cp = (*high - *low) / (6 * sd);
        out.cp_low = *out.cp * std::sqrt(calibrate::chi_squared_quantile((1 - confidence) / 2, dof) / dof);
        out.cp_high = *out.cp * std::sqrt(calibrate::chi_squared_quantile((1 + confidence) / 2, dof) / dof);
    }
    const double above = high ? *high - mean : INFINITY, below = low ? mean - *low : INFINITY;
    out.cpk = std::min(above, below) / (3 * sd);
    const double half = calibrate::normal_coverage_factor(confidence) * std::sqrt(1 / (9 * n) + out.cpk * out.cpk / (2 * dof));
    out.cpk_low = out.cpk - half;
    out.cpk_high = out.cpk + half;
    return out;
}

}  // namespace halfturn::review
