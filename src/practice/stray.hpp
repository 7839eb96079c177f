// What the practice rig's load cell makes of loads it should not feel. Plain formulas of its own: a moment and a side push go round
// with a sine, a moment besides with a little of its square, torque adds in proportion.
#pragma once

#include <cstdint>
#include <string_view>

namespace halfturn::practice {

// Drawn from the seed, so that no two cells are alike.
class StrayCell {
public:
    explicit StrayCell(std::uint64_t seed);

    // "eccentric 12 90" (mm, degrees), "side-load 200 180" (N, degrees), "torsion -5" (Nm), "none"; false: not understood.
    bool disturb(std::string_view words);

    double shows_N(double force_N) const;

private:
    double percent_per_mm_, percent_at_10_mm_, highest_deg_, N_per_N_, side_deg_, N_per_Nm_;
    double offset_mm_ = 0, offset_deg_ = 0, side_N_ = 0, pushed_deg_ = 0, torque_Nm_ = 0;
};

}  // namespace halfturn::practice
