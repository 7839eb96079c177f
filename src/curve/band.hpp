// Bands from samples: quantiles by selection, without sorting.
#pragma once

#include <vector>

#include "core/set_up.hpp"

namespace halfturn::curve {

// The 2.5, 50 and 97.5 % quantiles, interpolated between neighbours. Reorders the samples. Needs at least 40
// of them.
Band band_of(std::vector<double>& samples);

}  // namespace halfturn::curve
