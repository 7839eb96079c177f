#include "plan/spacer_preload.hpp"

#include <algorithm>
#include <cmath>

namespace halfturn::plan {

SpacerPreload spacer_preload(const fit::BallPath& path, double error_um) {
    const double A_mm = 2 * path.groove_radius_mm - path.ball_mm;
    // With no clearance left the balls touch at once, at an angle of 0.
    const double cos0 = std::min(1.0, 1 - std::max(0.0, path.clearance_um) / 1000 / (2 * A_mm));
    const double free_mm = A_mm * std::sqrt(1 - cos0 * cos0);
    SpacerPreload out;
    out.play_um = 2 * 1000 * free_mm;
    const double x_mm = std::abs(error_um) / 2 / 1000;
    if (x_mm <= free_mm) return out;
    const double span_mm = std::hypot(x_mm, A_mm * cos0);  // between the grooves' centres of curvature
    const double ball_N = std::pow((span_mm - A_mm) / fit::ball_give(path), 1.5);
    out.preload_N = path.ball_count * ball_N * x_mm / span_mm;
    return out;
}

}  // namespace halfturn::plan
