// Rounding to an instrument's least count.
#pragma once

#include <cmath>

namespace halfturn::practice {

inline double to_nearest(double value, double step) { return std::round(value / step) * step; }

// Figures after the point that a least count needs: 0.01 gives 2, 0.005 gives 3, 1 gives 0.
inline int decimals_for(double step) {
    int decimals = 0;
    for (double scaled = step; decimals < 9 && std::fabs(scaled - std::round(scaled)) > 1e-6; scaled *= 10) ++decimals;
    return decimals;
}

}  // namespace halfturn::practice
