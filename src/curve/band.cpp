#include "curve/band.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdint>

namespace halfturn::curve {

namespace {

constexpr std::array quantiles{0.025, 0.5, 0.975};

// Counts samples over equal ranges, so that only the few ranges in which a quantile lies have to be put in order.
class Ranges {
public:
    Ranges(const std::vector<double>& samples, double least, double most)
        : counts_(samples.size() / 16 + 1), least_(least), per_unit_(static_cast<double>(counts_.size()) / (most - least)) {
        for (const double sample : samples) ++counts_[of(sample)];
    }
    std::size_t of(double sample) const {
        return std::min(static_cast<std::size_t>((sample - least_) * per_unit_), counts_.size() - 1);
    }
    const std::vector<std::uint32_t>& counts() const { return counts_; }

private:
    std::vector<std::uint32_t> counts_;
    double least_, per_unit_;
};

}  // namespace

Band band_of(const std::vector<double>& samples) {
    const auto [least, most] = std::minmax_element(samples.begin(), samples.end());
    if (!(*least < *most)) return {*least, *least, *least};
    const Ranges ranges(samples, *least, *most);

    // Of each quantile the two neighbours, counted from the smallest sample on; and how many samples lie below their ranges.
    struct Place {
        std::size_t below, left_out;
        double part;
    };
    std::array<Place, quantiles.size()> places;
    std::vector<char> wanted(ranges.counts().size());
    std::size_t range = 0, before = 0, left_out = 0;
    const auto go_to = [&](std::size_t rank) {
        while (before + ranges.counts()[range] <= rank) {
            before += ranges.counts()[range];
            if (!wanted[range]) left_out += ranges.counts()[range];
            ++range;
        }
        wanted[range] = true;
    };
    for (std::size_t i = 0; i < quantiles.size(); ++i) {
        const double place = quantiles[i] * static_cast<double>(samples.size()) - 0.5;
        const auto below = static_cast<std::size_t>(place);
        go_to(below);
        places[i] = {below, left_out, place - std::floor(place)};
        go_to(below + 1);
    }
    std::vector<double> near;
    for (const double sample : samples)
        if (wanted[ranges.of(sample)]) near.push_back(sample);
    std::sort(near.begin(), near.end());
    const auto at = [&](const Place& place) {
        const double low = near[place.below - place.left_out], high = near[place.below - place.left_out + 1];
        return low + place.part * (high - low);
    };
    return {at(places[0]), at(places[1]), at(places[2])};
}

}  // namespace halfturn::curve
