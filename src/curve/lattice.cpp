#include "curve/lattice.hpp"

namespace halfturn::curve {

namespace {

// SplitMix64 (Steele, Lea & Flood 2014).
std::uint64_t split_mix(std::uint64_t& state) {
    std::uint64_t z = (state += 0x9E3779B97F4A7C15u);
    z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9u;
    z = (z ^ (z >> 27)) * 0x94D049BB133111EBu;
    return z ^ (z >> 31);
}

}  // namespace

Lattice::Lattice(std::uint32_t points, std::uint64_t seed)
    : points_(points), step_((std::uint64_t{1} << 53) / points) {
    for (auto& shift : shift_) shift = split_mix(seed) & mask;
}

}  // namespace halfturn::curve
