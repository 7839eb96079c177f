#include "curve/ball_angles.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace halfturn::curve {

BallAngles::BallAngles(const fit::BallPath& path, double least_clearance_um, double most_clearance_um,
                       double most_force_N) {
    const double A_mm = 2 * path.groove_radius_mm - path.ball_mm, A_um = 1000 * A_mm;
    const double give = fit::ball_give(path);
    least_um_ = std::clamp(least_clearance_um, -0.35 * A_um, 0.85 * A_um);
    const double most_um = std::clamp(most_clearance_um, least_um_ + 0.1, 0.9 * A_um);
    rows_per_um_ = (rows - 1) / (most_um - least_um_);
    columns_per_root_N_ = (columns - 1) / std::sqrt(std::max(most_force_N, 1.0));
    table_.resize(rows * columns);
    for (std::size_t row = 0; row < rows; ++row) {
        const double cos0 = 1 - (least_um_ + static_cast<double>(row) / rows_per_um_) / (2 * A_um);
        const auto ball_N = [&](double angle) {
            return std::pow(std::max(0.0, A_mm * (cos0 / std::cos(angle) - 1)) / give, 1.5);
        };
        const double preload_N = path.ball_count * ball_N(0);
        // Both force and push are plain functions of the angle, so walk the angle and fill the columns it
        // passes.
        const double from = cos0 < 1 ? std::acos(cos0) : 0, to = 75 * std::numbers::pi / 180;
        constexpr int steps = 400;
        double root_before = 0, spread_before = 0;
        std::size_t column = 0;
        for (int i = 1; i <= steps && column < columns; ++i) {
            const double t = static_cast<double>(i) / steps;
            const double angle =
                from + (to - from) * t * t;  // most of the force lies close to the free angle
            const double all_N = path.ball_count * ball_N(angle), force_N = all_N * std::sin(angle);
            const double root = std::sqrt(force_N), spread = (all_N * std::cos(angle) - preload_N) / force_N;
            if (i == 1) spread_before = spread;
            while (column < columns && static_cast<double>(column) / columns_per_root_N_ <= root) {
                const double part = root > root_before
                                        ? (static_cast<double>(column) / columns_per_root_N_ - root_before) /
                                              (root - root_before)
                                        : 1;
                table_[row * columns + column++] = spread_before + part * (spread - spread_before);
            }
            root_before = root;
            spread_before = spread;
        }
        while (column < columns) table_[row * columns + column++] = spread_before;
    }
}

std::size_t BallAngles::row_of(double clearance_um) const {
    const double place = (clearance_um - least_um_) * rows_per_um_ + 0.5;
    return static_cast<std::size_t>(std::clamp(place, 0.0, static_cast<double>(rows - 1)));
}

double BallAngles::spread(std::size_t row, double force_N) const {
    if (table_.empty()) return 0;
    const double place =
        std::min(std::sqrt(force_N) * columns_per_root_N_, static_cast<double>(columns - 1) - 1e-9);
    const auto column = static_cast<std::size_t>(place);
    const double* at = &table_[row * columns + column];
    return at[0] + (place - static_cast<double>(column)) * (at[1] - at[0]);
}

}  // namespace halfturn::curve
