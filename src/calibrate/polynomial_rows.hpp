// Inside the line fits: rows of the design matrix, in long double. Not for other rooms.
#pragma once

#include "calibrate/least_squares.hpp"

namespace halfturn::calibrate {

// Powers of t from first_power on: the row of the design matrix.
inline Vector powers(Real t, int first_power, int count) {
    Vector row(count);
    Real power = first_power == 0 ? Real{1} : t;
    for (int j = 0; j < count; ++j, power *= t) row(j) = power;
    return row;
}

inline Vector slopes(Real t, int first_power, int count) {
    Vector row(count);
    Real power = 1;
    for (int j = 0; j < count; ++j) {
        const int exponent = first_power + j;
        row(j) = exponent == 0 ? Real{0} : static_cast<Real>(exponent) * power;
        if (exponent > 0) power *= t;
    }
    return row;
}

}  // namespace halfturn::calibrate
