#include "calibrate/step_catch.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "calibrate/probability.hpp"

namespace halfturn::calibrate {
namespace {

// Common practice, no published source.
constexpr double keeps_before = 1.2;      // of rest_s, of what was read at rest before
constexpr double longest_move = 3;        // rest_s until it must stand again: the analysis takes the outer fifths as rest
constexpr double rests_within = 0.02;     // of the step's height: what a relaxing stack may still give in
constexpr std::size_t fewest_after = 5;

}  // namespace

StepCatch::StepCatch(std::size_t instruments, double rest_s, std::vector<double> least_counts) : rest_s_(rest_s) {
    least_counts.resize(instruments);
    for (const double least_count : least_counts)
        watched_.push_back({SettlingWatch(rest_s, least_count), 0, 0, least_count, false, {}, {}});
    signals_.resize(instruments);
}

bool StepCatch::has_moved(const Watched& w, double value) const {
    return std::fabs(value - w.mean) > std::max(2.5 * w.least_count, 6 * w.sd);
}

void StepCatch::reading(std::size_t instrument, double t_s, double value, bool fresh) {
    if (at_ == At::done) return;
    Watched& w = watched_[instrument];
    StepSignal& signal = signals_[instrument];
    if (fresh && (signal.t_s.empty() || t_s > signal.t_s.back())) {
        signal.t_s.push_back(t_s);
        signal.value.push_back(value);
    }
    if (at_ == At::ready && has_moved(w, value)) {
        at_ = At::moving;
        moved_s_ = t_s;
    }
    if (at_ == At::moving) {
        w.moved = w.moved || has_moved(w, value);
        w.after_t_s.push_back(t_s);
        w.after.push_back(value);
    } else {
        w.before.add(t_s, value);
    }
    look(t_s);
}

// The second half of the last rest_s stands where the first does.
bool StepCatch::rests_again(const Watched& w) const {
    if (!w.moved || w.after.empty()) return false;
    const double end_s = w.after_t_s.back();
    if (end_s - w.after_t_s.front() < rest_s_) return false;
    std::vector<double> early, late;
    for (std::size_t i = 0; i < w.after.size(); ++i)
        if (w.after_t_s[i] >= end_s - rest_s_) (w.after_t_s[i] < end_s - rest_s_ / 2 ? early : late).push_back(w.after[i]);
    if (early.size() + late.size() < fewest_after || early.empty() || late.empty()) return false;
    const MeanAndSd before = mean_and_sd(early), after = mean_and_sd(late);
    const double noise = 3 * std::hypot(before.sd / std::sqrt(static_cast<double>(early.size())),
                                        after.sd / std::sqrt(static_cast<double>(late.size())));
    const double height = std::fabs(after.mean - w.mean);
    return std::fabs(after.mean - before.mean) <= std::max({w.least_count, rests_within * height, std::min(noise, 0.1 * height)});
}

void StepCatch::look(double t_s) {
    if (at_ == At::moving) {
        const bool rest = std::all_of(watched_.begin(), watched_.end(), [&](const Watched& w) { return rests_again(w); });
        if (rest) finish();
        else if (t_s - moved_s_ > longest_move * rest_s_) start_over();
        return;
    }
    bool steady = true;
    for (Watched& w : watched_) {
        const auto state = w.before.state();
        steady = steady && state.steady;
        if (state.steady) w.mean = state.mean, w.sd = state.sd;
    }
    // Once ready it stays so: a slow settling does not take the word back.
    if (steady) at_ = At::ready;
    for (StepSignal& signal : signals_) {
        const auto keep =
            std::find_if(signal.t_s.begin(), signal.t_s.end(), [&](double t) { return t >= t_s - keeps_before * rest_s_; }) -
            signal.t_s.begin();
        signal.t_s.erase(signal.t_s.begin(), signal.t_s.begin() + keep);
        signal.value.erase(signal.value.begin(), signal.value.begin() + keep);
    }
}

void StepCatch::start_over() {
    ++missed_;
    at_ = At::resting;
    for (Watched& w : watched_) {
        w.before.restart();
        w.moved = false;
        w.after.clear();
        w.after_t_s.clear();
    }
}

void StepCatch::finish() {
    at_ = At::done;
    double first_s = moved_s_;
    for (const StepSignal& signal : signals_)
        if (!signal.t_s.empty()) first_s = std::min(first_s, signal.t_s.front());
    for (StepSignal& signal : signals_)
        for (double& t : signal.t_s) t -= first_s;
}

}  // namespace halfturn::calibrate
