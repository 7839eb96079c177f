// How late, how noisy and how fast an instrument really is, from one quick step that all instruments see
// together.
#pragma once

#include <optional>
#include <string>
#include <vector>

namespace halfturn::calibrate {

class CsvReadings;

// One channel: rising times of arrival, and values, at rest before and after one step (up or down).
struct StepSignal {
    std::string channel;
    std::vector<double> t_s, value;
};

struct StepResult {
    double before = 0, after = 0;            // medians of the first and last fifth
    double noise_sd = 0;                     // scatter at rest (two-pass, both ends pooled)
    double t10_s = 0, t50_s = 0, t90_s = 0;  // when the step had covered so much of its height, interpolated
    double u_t50_s = 0;                      // of t50: the reading interval, rectangular
    double readings_per_s = 0;               // from the median interval
    double updates_per_s = 0;  // readings that differ from the one before, while the value moves
};

// Throws BadInput: fewer than 20 readings, times that don't rise, or a step below six times the noise.
// Common practice, no published source; checked on computed steps with known delay, filter and repeats.
StepResult analyse_step(const StepSignal& signal);

// How much later `b` shows the step than `a`, with its standard uncertainty.
struct Lag {
    double s = 0, u_s = 0;
};
Lag lag_between(const StepResult& a, const StepResult& b);

// One instrument over several steps, against the first instrument. The lag is the mean of the steps' lags; its standard
// uncertainty the larger of their scatter and of their own uncertainties (root mean square), over the root of their number. A
// reading falls anywhere between two moments, so that steps average that away. Noise: root mean square; rates, rise: medians.
struct ChannelLag {
    std::string channel;
    Lag lag;
    double lag_sd_s = 0;  // between the steps; 0 for one
    int steps = 0;
    double rise_s = 0, noise_sd = 0, readings_per_s = 0, updates_per_s = 0;
};

// Throws BadInput as analyse_step does, and for a step that lacks one of the first step's instruments.
std::vector<ChannelLag> lags_of(const std::vector<std::vector<StepSignal>>& steps);

// The turning rate at which neither the gap between two readings nor the lag makes force and travel disagree
// by more than `allowed_N`: allowed / (stiffness * pitch * max(1/updates, |lag|)), in turns per second.
double fastest_turns_per_s(double allowed_N, double stiffness_N_per_mm, double pitch_mm, double updates_per_s,
                           double lag_s);

// CSV in long form: columns t_s, channel, value, and for more than one step `step` (its number). Channels and steps in the order
// they first appear.
std::vector<std::vector<StepSignal>> read_step_tests(const CsvReadings& table);

}  // namespace halfturn::calibrate
