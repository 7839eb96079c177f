#include "review/likeness.hpp"

#include <algorithm>
#include <cmath>

namespace halfturn::review {
namespace {

constexpr double ratio_scale = 0.15, slope_scale = 0.20, shape_scale = 0.10;
constexpr double slope_from = 0.2, slope_to = 0.8;
constexpr std::size_t least_slope_readings = 5;

std::optional<double> wind_up_slope(const Evidence& e) {
    if (e.set_up.work != Work::out || !e.released || e.release_N <= 0 || e.set_up.pitch_mm <= 0) return {};
    double n = 0, sum_x = 0, sum_y = 0, sum_xx = 0, sum_xy = 0;
    for (const TracePoint& p : e.trace.points) {
        if (p.force_N >= slope_to * e.release_N) break;
        if (p.force_N < slope_from * e.release_N) continue;
        const double x = p.turns * e.set_up.pitch_mm;
        n += 1, sum_x += x, sum_y += p.force_N, sum_xx += x * x, sum_xy += x * p.force_N;
    }
    const double spread = n * sum_xx - sum_x * sum_x;
    if (n < least_slope_readings || spread <= 0) return {};
    const double slope = (n * sum_xy - sum_x * sum_y) / spread;
    return slope > 0 ? std::optional(std::log(slope)) : std::nullopt;
}

// Force over the seat's length while the ring slid, linear between stretches, over its own mean.
std::optional<std::array<double, shape_steps>> slide_shape(const Evidence& e) {
    const auto& stretches = e.slide.stretches;  // engaged_mm rising
    if (stretches.size() < 3 || e.slide.length_mm <= 0) return {};
    std::array<double, shape_steps> shape{};
    double sum = 0;
    for (std::size_t k = 0; k < shape_steps; ++k) {
        const double engaged = e.slide.length_mm * (static_cast<double>(k) + 0.5) / shape_steps;
        const auto after = std::find_if(stretches.begin(), stretches.end(), [&](const SlideStretch& s) { return s.engaged_mm >= engaged; });
        // The ends of the seat, where no stretch lies beyond, take the nearest one.
        double force = after == stretches.end() ? stretches.back().force_N : after->force_N;
        if (after != stretches.begin() && after != stretches.end()) {
            const SlideStretch &a = *(after - 1), &b = *after;
            const double way = b.engaged_mm - a.engaged_mm;
            if (way > 0) force = a.force_N + (b.force_N - a.force_N) * (engaged - a.engaged_mm) / way;
        }
        shape[k] = force;
        sum += force;
    }
    if (sum <= 0) return {};
    for (double& force : shape) force *= shape_steps / sum;
    return shape;
}

}  // namespace

PullFeatures features_of(const Evidence& e) {
    PullFeatures features;
    const double force_N = e.set_up.work == Work::out ? (e.released ? e.release_N : 0) : e.home.driving_N;
    if (force_N > 0 && e.set_up.break_loose_N.mid > 0) features.ratio = std::log(force_N / e.set_up.break_loose_N.mid);
    features.slope = wind_up_slope(e);
    features.shape = slide_shape(e);
    return features;
}

std::optional<double> distance(const PullFeatures& a, const PullFeatures& b) {
    double sum = 0;
    int parts = 0;
    const auto add = [&](double part) { sum += part * part, ++parts; };
    if (a.ratio && b.ratio) add((*a.ratio - *b.ratio) / ratio_scale);
    if (a.slope && b.slope) add((*a.slope - *b.slope) / slope_scale);
    if (a.shape && b.shape) {
        double squares = 0;
        for (std::size_t k = 0; k < shape_steps; ++k) squares += ((*a.shape)[k] - (*b.shape)[k]) * ((*a.shape)[k] - (*b.shape)[k]);
        add(std::sqrt(squares / shape_steps) / shape_scale);
    }
    if (parts == 0) return {};
    return std::sqrt(sum / parts);
}

}  // namespace halfturn::review
