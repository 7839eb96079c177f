// Chance for the practice rig: the same numbers for the same seed on every machine (the standard library's
// distributions differ between compilers, its engines do not). Each part of the rig draws from a stream of its own.
#pragma once

#include <cstdint>
#include <random>
#include <string_view>

namespace halfturn::practice {

class Random {
public:
    Random(std::uint64_t seed, std::string_view stream);

    double between(double low, double high);
    int pick(int low, int high);  // both ends included
    bool chance(double probability) { return between(0, 1) < probability; }
    // Bell-shaped with this standard deviation: the sum of twelve even draws, so never beyond six deviations.
    double normal(double deviation);

private:
    std::mt19937_64 engine_;
};

}  // namespace halfturn::practice
