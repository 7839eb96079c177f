#include "calibrate/settling.hpp"

#include <algorithm>
#include <numeric>

#include "calibrate/probability.hpp"
#include "core/failure.hpp"

namespace halfturn::calibrate {
namespace {

constexpr double quick_share = 0.25;  // of the whole time: a step that takes longer is none
constexpr std::int64_t most_scaled = std::int64_t{1} << 60;

std::optional<Decimal> common_divisor(const std::vector<TimedValue>& readings) {
    int finest = readings[0].value.exponent;
    for (const auto& r : readings) finest = std::min<int>(finest, r.value.digits == 0 ? finest : r.value.exponent);
    std::int64_t divisor = 0, first = 0;
    for (std::size_t i = 0; i < readings.size(); ++i) {
        std::int64_t scaled = readings[i].value.digits;
        for (int e = readings[i].value.exponent; scaled != 0 && e > finest; --e) {
            if (scaled > most_scaled / 10 || scaled < -most_scaled / 10) return {};
            scaled *= 10;
        }
        if (i == 0) first = scaled;
        else divisor = std::gcd(divisor, scaled - first);
    }
    if (divisor == 0) return {};
    return normalised(divisor, finest);
}

double slope(const std::vector<double>& t, const std::vector<double>& y) {
    const double t_mean = mean_and_sd(t).mean, y_mean = mean_and_sd(y).mean;
    double ty = 0, tt = 0;
    for (std::size_t i = 0; i < t.size(); ++i) {
        ty += (t[i] - t_mean) * (y[i] - y_mean);
        tt += (t[i] - t_mean) * (t[i] - t_mean);
    }
    return tt > 0 ? ty / tt : 0;
}

double spread(const std::vector<double>& values) {
    const auto [low, high] = std::minmax_element(values.begin(), values.end());
    return *high - *low;
}

}  // namespace

Settling settle(const std::vector<TimedValue>& readings) {
    if (readings.size() < 3)
        throw BadInput("only " + std::to_string(readings.size()) + " readings came; listen longer, or check the format");
    Settling out;
    out.readings = readings.size();
    std::vector<double> t, y, gaps;
    for (const auto& r : readings) {
        if (!t.empty()) gaps.push_back(r.t_s - t.back());
        t.push_back(r.t_s);
        y.push_back(to_double(r.value));
    }
    const double span_s = t.back() - t.front();
    out.readings_per_s = span_s > 0 ? static_cast<double>(t.size() - 1) / span_s : 0;
    out.median_gap_s = median(gaps);
    out.longest_gap_s = *std::max_element(gaps.begin(), gaps.end());
    out.least_count = common_divisor(readings);

    // Several readings of one read arrive together; a step test needs rising times.
    StepSignal signal{"", {}, {}};
    for (std::size_t i = 0; i < t.size(); ++i)
        if (signal.t_s.empty() || t[i] > signal.t_s.back()) {
            signal.t_s.push_back(t[i]);
            signal.value.push_back(y[i]);
        }
    try {
        out.step = analyse_step(signal);
        if (out.step->t90_s - out.step->t10_s > quick_share * span_s) out.step.reset();  // a drift or a slow pull
    } catch (const BadInput&) {  // no step, or too few readings to see one
    }
    if (out.step) {
        const auto fifth = static_cast<std::ptrdiff_t>(y.size() / 5);
        out.noise_sd = out.step->noise_sd;
        out.peak_to_peak = std::max(spread({y.begin(), y.begin() + fifth}), spread({y.end() - fifth, y.end()}));
    } else {
        out.noise_sd = mean_and_sd(y).sd;
        out.peak_to_peak = spread(y);
        out.drift_per_s = slope(t, y);
    }
    return out;
}

bool is_slow_bridge_rate(double readings_per_s) { return readings_per_s > 8 && readings_per_s < 13; }

}  // namespace halfturn::calibrate
