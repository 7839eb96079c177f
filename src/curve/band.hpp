// Bands from samples: quantiles by counting, without sorting them all.
#pragma once

#include <vector>

#include "core/set_up.hpp"

namespace halfturn::curve {

// The 2.5, 50 and 97.5 % quantiles, interpolated between neighbours. Needs at least 40 samples, all of them finite.
Band band_of(const std::vector<double>& samples);

}  // namespace halfturn::curve
