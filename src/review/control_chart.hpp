// The control chart for single values and their moving ranges, and how well a process keeps within given limits.
//   const ControlChart chart = individuals_chart({{49.6}, {47.6}, {49.9}, …});   chart.low … chart.centre … chart.high
//
// Individuals chart: sigma = mean moving range of two / d2, d2 = 2/sqrt(pi); limits centre +- 3 sigma; the moving range's
// limit is D4 = 1 + 3 sqrt(2(1 - 2/pi))/d2 = 3.2665 times its mean. Sources: NIST/SEMATECH e-Handbook 6.3.2.2, ISO 7870-2.
// Checked against the worked examples in tests/trends. Pure.
// A range beyond its limit is shown but no signal: with normal values it comes by chance in every 109th job,
// and tells little that the values do not (Roes, Does, Schurink, J. Quality Technology 25, 1993; from memory).
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "review/run_rules.hpp"

namespace halfturn::review {

struct ChartValue {
    double value = 0;
    bool gap_before = false;  // no neighbour of the value before it: no moving range is taken between the two
};

struct ChartOptions {
    RunRules rules = usual_rules();
    std::size_t base = 0;  // the limits are worked out from the first so many values; 0: from all
};

struct ControlChart {
    bool known = false;  // are there limits? They need `least_ranges` moving ranges and some spread
    std::string why_not;
    bool provisional = true;  // fewer than `steady_values` values behind the limits
    double centre = 0, sigma = 0, low = 0, high = 0;
    double mean_range = 0, range_high = 0;
    std::size_t base = 0, ranges = 0;                 // values and moving ranges behind the limits
    std::vector<std::optional<double>> moving_range;  // of each value to the one before; nothing at the first and at gaps
    std::vector<Run> runs;                            // none without limits

    static constexpr std::size_t least_ranges = 7;
    static constexpr std::size_t steady_values = 20;  // common practice: 20 to 25
};

ControlChart individuals_chart(const std::vector<ChartValue>& values, const ChartOptions& options = {});

// Capability against limits that a value should keep within, one of which may be missing.
// Cp = (high - low)/6s, Cpk = min(high - mean, mean - low)/3s, s the standard deviation of the values. 95 % confidence: Cp by
// chi-squared, Cpk by Bissell's formula (Applied Statistics 39, 1990), both as in NIST e-Handbook 6.1.6; on values that are
// normal the intervals held 95 and 94.6 % of 20 000 simulated samples of 30 (tests/trends).
// Means something only of a process in order, and of 20 values or more; the interval says how little a few are worth.
struct Capability {
    std::optional<double> low, high;  // the limits
    std::size_t n = 0;
    double mean = 0, sd = 0;
    std::optional<double> cp, cp_low, cp_high;  // both limits given
    double cpk = 0, cpk_low = 0, cpk_high = 0;
};
// Nothing for fewer than three values, no spread, no limit, or limits that are not in order.
std::optional<Capability> capability(const std::vector<double>& values, std::optional<double> low, std::optional<double> high);

}  // namespace halfturn::review
