// What one instrument is worth, from some seconds of its readings: true rate, gaps, noise, least count, and how slowly it
// follows when the readings hold one quick step.
#pragma once

#include <cstddef>
#include <optional>
#include <vector>

#include "calibrate/step_test.hpp"
#include "core/decimal.hpp"

namespace halfturn::calibrate {

struct TimedValue {
    double t_s = 0;  // when it arrived; never falling
    Decimal value;
};

struct Settling {
    std::size_t readings = 0;
    double readings_per_s = 0;      // (n - 1) / (last - first): readings lost or late count, unlike in a median
    double median_gap_s = 0, longest_gap_s = 0;
    double noise_sd = 0;            // scatter at rest: of both ends of a step, else of all readings about their mean
    double peak_to_peak = 0;        // at rest likewise; of all readings when there was no step
    double drift_per_s = 0;         // slope of all readings (least squares) when there was no step
    std::optional<Decimal> least_count;  // greatest common divisor of all differences; nothing when no reading differs
    std::optional<StepResult> step;      // when one stands out of the noise
};

// Throws BadInput with fewer than 3 readings. Common practice, no published source; the step is step_test.hpp's.
Settling settle(const std::vector<TimedValue>& readings);

// 10 readings a second, within what the converters' own clocks are off by: such a bridge board may be set to 80.
bool is_slow_bridge_rate(double readings_per_s);

}  // namespace halfturn::calibrate
