// Low-discrepancy points: a rank-1 lattice with a random shift. The same seed gives the same bits on every run.
//   Lattice lattice(65536, seed);  lattice.at(i, j)  ->  coordinate j of point i, in (0, 1)
// Method: x = frac(i z_j / N + shift_j), N a power of two up to 65536; the vector z is made by tools/make/lattice_vector.cpp
// (component by component, Nuyens & Cools 2006), the shifts by SplitMix64. Any N/2^k of the points, taken evenly, are a
// lattice themselves. Earlier coordinates are spread best: give them to the inputs that matter most.
#pragma once

#include <array>
#include <cstdint>

namespace halfturn::curve {

class Lattice {
public:
    static constexpr std::uint32_t most_points = 1u << 16;
    static constexpr std::size_t dimensions = 16;

    // points must be a power of two, at most most_points.
    Lattice(std::uint32_t points, std::uint64_t seed);

    std::uint32_t points() const { return points_; }
    double at(std::uint32_t i, std::size_t j) const {
        // Fixed point with 53 bits, so that adding and wrapping is exact everywhere.
        const std::uint64_t steps = (std::uint64_t{i} * vector[j]) & (points_ - 1);
        const std::uint64_t x = (steps * step_ + shift_[j]) & mask;
        return (static_cast<double>(x) + 0.5) * 0x1p-53;
    }

private:
    static constexpr std::uint64_t mask = (std::uint64_t{1} << 53) - 1;
    static constexpr std::array<std::uint32_t, dimensions> vector{1,     25015, 11675, 7425, 10297, 6975,
                                                                  15043, 12807, 29409, 7675, 20091, 1727,
                                                                  25951, 13211, 18691, 19857};
    std::uint32_t points_;
    std::uint64_t step_;
    std::array<std::uint64_t, dimensions> shift_{};
};

}  // namespace halfturn::curve
