#include "curve/band.hpp"

#include <algorithm>
#include <cmath>

namespace halfturn::curve {

namespace {

using Iterator = std::vector<double>::iterator;

// Quantile p of all samples, looking only in [from, end): everything before is known to be smaller. Sets
// `from` behind it.
double take_quantile(std::vector<double>& samples, Iterator& from, double p) {
    const double place = p * static_cast<double>(samples.size()) - 0.5;
    const auto at = samples.begin() + static_cast<std::ptrdiff_t>(place);
    std::nth_element(from, at, samples.end());
    const double low = *at;
    const double high = *std::min_element(at + 1, samples.end());
    from = at + 1;
    return low + (place - std::floor(place)) * (high - low);
}

}  // namespace

Band band_of(std::vector<double>& samples) {
    auto from = samples.begin();
    Band band;
    band.low = take_quantile(samples, from, 0.025);
    band.mid = take_quantile(samples, from, 0.5);
    band.high = take_quantile(samples, from, 0.975);
    return band;
}

}  // namespace halfturn::curve
