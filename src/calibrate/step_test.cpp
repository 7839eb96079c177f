#include "calibrate/step_test.hpp"

#include <algorithm>
#include <cmath>

#include "calibrate/csv_readings.hpp"
#include "calibrate/probability.hpp"
#include "core/failure.hpp"

namespace halfturn::calibrate {
namespace {

// When the signal first covers `part` of the way, between the two readings around it.
double crossing_s(const StepSignal& signal, double before, double after, double part) {
    const auto covered = [&](std::size_t i) { return (signal.value[i] - before) / (after - before); };
    for (std::size_t i = 1; i < signal.value.size(); ++i) {
        if (covered(i) < part) continue;
        const double from = covered(i - 1), to = covered(i);
        if (!(from < part)) return signal.t_s[i - 1];
        return signal.t_s[i - 1] + (signal.t_s[i] - signal.t_s[i - 1]) * (part - from) / (to - from);
    }
    return signal.t_s.back();
}

}  // namespace

StepResult analyse_step(const StepSignal& signal) {
    const std::size_t n = signal.value.size();
    const std::string who = "channel " + signal.channel + ": ";
    if (n < 20 || signal.t_s.size() != n)
        throw BadInput(who + "a step test needs 20 readings or more, at rest before and after");
    std::vector<double> intervals;
    for (std::size_t i = 1; i < n; ++i) {
        intervals.push_back(signal.t_s[i] - signal.t_s[i - 1]);
        if (!(intervals.back() > 0)) throw BadInput(who + "the times must rise from reading to reading");
    }
    const auto fifth = static_cast<std::ptrdiff_t>(n / 5);
    const std::vector<double> first(signal.value.begin(), signal.value.begin() + fifth);
    const std::vector<double> last(signal.value.end() - fifth, signal.value.end());
    StepResult result;
    result.before = median(first);
    result.after = median(last);
    const double sd_first = mean_and_sd(first).sd, sd_last = mean_and_sd(last).sd;
    result.noise_sd = std::sqrt((sd_first * sd_first + sd_last * sd_last) / 2);
    const double height = std::fabs(result.after - result.before);
    if (!(height > 6 * result.noise_sd) || height == 0)
        throw BadInput(who +
                       "no step stands out of the noise between the first and the last fifth; load or unload "
                       "quickly, once, in the middle");
    result.t10_s = crossing_s(signal, result.before, result.after, 0.1);
    result.t50_s = crossing_s(signal, result.before, result.after, 0.5);
    result.t90_s = crossing_s(signal, result.before, result.after, 0.9);
    const double interval = median(intervals);
    result.readings_per_s = 1 / interval;
    // While the value moves: from the last reading near `before` to the first near `after`.
    const double margin = std::max(3 * result.noise_sd, 0.02 * height);
    std::size_t start = 0, end = n - 1;
    for (std::size_t i = 0; i < n && std::fabs(signal.value[i] - result.before) <= margin; ++i) start = i;
    for (std::size_t i = n; i-- > 0 && std::fabs(signal.value[i] - result.after) <= margin;) end = i;
    std::size_t changes = 0;
    double first_change_s = 0, last_change_s = 0;
    for (std::size_t i = start + 1; i <= end; ++i) {
        if (signal.value[i] == signal.value[i - 1]) continue;
        if (changes++ == 0) first_change_s = signal.t_s[i];
        last_change_s = signal.t_s[i];
    }
    // One or two changes are a jump: it says nothing about the rate.
    result.updates_per_s = result.readings_per_s;
    if (changes >= 3)
        result.updates_per_s = std::min(static_cast<double>(changes - 1) / (last_change_s - first_change_s),
                                        result.readings_per_s);
    result.u_t50_s = std::max(interval, 1 / result.updates_per_s) / 2 / std::sqrt(3.0);
    return result;
}

Lag lag_between(const StepResult& a, const StepResult& b) {
    return {b.t50_s - a.t50_s, std::hypot(a.u_t50_s, b.u_t50_s)};
}

double fastest_turns_per_s(double allowed_N, double stiffness_N_per_mm, double pitch_mm, double updates_per_s,
                           double lag_s) {
    if (!(allowed_N > 0) || !(stiffness_N_per_mm > 0) || !(pitch_mm > 0) || !(updates_per_s > 0))
        throw BadInput("allowed force, stiffness, pitch and update rate must all be above zero");
    return allowed_N / (stiffness_N_per_mm * pitch_mm * std::max(1 / updates_per_s, std::fabs(lag_s)));
}

std::vector<ChannelLag> lags_of(const std::vector<std::vector<StepSignal>>& steps) {
    std::vector<ChannelLag> out;
    if (steps.empty()) return out;
    std::vector<std::vector<StepResult>> results;  // by step, channels in the order of the first step
    for (const auto& step : steps) {
        results.emplace_back();
        for (const StepSignal& wanted : steps.front()) {
            const auto found = std::find_if(step.begin(), step.end(), [&](const StepSignal& s) { return s.channel == wanted.channel; });
            if (found == step.end())
                throw BadInput("channel " + wanted.channel + " is missing in step " + std::to_string(results.size()) +
                               "; every step needs all channels of the first");
            results.back().push_back(analyse_step(*found));
        }
    }
    const double n = static_cast<double>(steps.size());
    for (std::size_t c = 0; c < steps.front().size(); ++c) {
        ChannelLag one;
        one.channel = steps.front()[c].channel;
        one.steps = static_cast<int>(steps.size());
        std::vector<double> lags, rises, readings, updates;
        double own = 0, noise = 0;
        for (const auto& step : results) {
            const Lag lag = lag_between(step.front(), step[c]);
            lags.push_back(lag.s);
            own += lag.u_s * lag.u_s / n;
            noise += step[c].noise_sd * step[c].noise_sd / n;
            rises.push_back(step[c].t90_s - step[c].t10_s);
            readings.push_back(step[c].readings_per_s);
            updates.push_back(step[c].updates_per_s);
        }
        const MeanAndSd all = mean_and_sd(lags);
        one.lag_sd_s = all.sd;
        one.lag = {all.mean, std::max(all.sd, std::sqrt(own)) / std::sqrt(n)};
        one.rise_s = median(rises), one.noise_sd = std::sqrt(noise);
        one.readings_per_s = median(readings), one.updates_per_s = median(updates);
        out.push_back(std::move(one));
    }
    return out;
}

std::vector<std::vector<StepSignal>> read_step_tests(const CsvReadings& table) {
    const auto t = table.numbers("t_s"), value = table.numbers("value");
    const auto channel = table.texts("channel");
    const auto step = table.has("step") ? table.texts("step") : std::vector<std::string>(table.rows());
    std::vector<std::string> names;
    std::vector<std::vector<StepSignal>> out;
    for (std::size_t i = 0; i < table.rows(); ++i) {
        const auto named = std::find(names.begin(), names.end(), step[i]);
        const auto at = static_cast<std::size_t>(named - names.begin());
        if (named == names.end()) names.push_back(step[i]), out.emplace_back();
        auto& signals = out[at];
        auto found = std::find_if(signals.begin(), signals.end(), [&](const StepSignal& s) { return s.channel == channel[i]; });
        if (found == signals.end()) found = signals.insert(signals.end(), {channel[i], {}, {}});
        if (!found->t_s.empty() && !(t[i] > found->t_s.back()))
            throw table.error_in_row(i, "t_s must rise from reading to reading of a channel");
        found->t_s.push_back(t[i]);
        found->value.push_back(value[i]);
    }
    return out;
}

}  // namespace halfturn::calibrate
