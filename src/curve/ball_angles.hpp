// How far the balls spread the outer ring per newton of axial pull, tabulated so that a hundred thousand draws can ask.
//   BallAngles angles(fit::ball_path(ring), -5, 25, 4000);  angles.spread(angles.row_of(8), 600)  ->  cot of about 17 degrees
//
// Method: as fit/pull.hpp (axial load on a ball bearing, rigid rings, Hertz contacts): F = Z Q sin a, ball approach
// A (cos a0/cos a - 1) = K Q^(2/3). The radial push per newton, (Z Q cos a - preload)/F, over sqrt(F) and clearance.
// Valid: the clearance and force ranges given; the ends hold beyond. Error: 2 % of the release force against
// fit::release_across_balls for friction up to 0.28 (tests/curve), the most from one step of iteration.
#pragma once

#include <cstddef>
#include <vector>

#include "fit/pull.hpp"

namespace halfturn::curve {

class BallAngles {
public:
    BallAngles() = default;  // nothing goes through the balls: spread is 0
    BallAngles(const fit::BallPath& path, double least_clearance_um, double most_clearance_um, double most_force_N);

    std::size_t row_of(double clearance_um) const;
    // Radial push on the ring's groove per newton of axial force.
    double spread(std::size_t row, double force_N) const;

private:
    static constexpr std::size_t rows = 32, columns = 96;
    std::vector<double> table_;
    double least_um_ = 0, rows_per_um_ = 0, columns_per_root_N_ = 0;
};

}  // namespace halfturn::curve
