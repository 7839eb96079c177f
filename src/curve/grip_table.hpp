// What turns force into interference and back for one seat, as plain numbers, so that a recorded job can be read backwards
// with the numbers of its own day.
#pragma once

#include <vector>

#include "core/set_up.hpp"

namespace halfturn::curve {

struct GripTable {
    std::vector<double> friction;   // rising, at least two
    std::vector<double> N_per_um;   // axial force to just move the whole ring, per um of diametral interference, at each
    double relative_u = 0;          // of those: ring section, housing, material
    Band friction_band, over_sliding;

    double at(double mu) const;  // linear between, in proportion beyond
};

}  // namespace halfturn::curve
