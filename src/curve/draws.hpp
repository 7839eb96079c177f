// Draws of a seat: its grip on a lattice of the inputs, and each grip with several frictions, so that the widest input is
// resolved finest at little cost.
#pragma once

#include <cstdint>
#include <vector>

#include "curve/family.hpp"
#include "curve/seat_facts.hpp"
#include "curve/seat_model.hpp"

namespace halfturn::curve {

struct Draws {
    std::vector<Grip> grips;
    std::vector<double> place;  // of each grip in (0, 1): where its friction lies within a stratum
};

// points: a power of two up to 65536.
Draws draw_grips(const SeatFacts& facts, std::uint32_t points, std::uint64_t seed);

// The draws as a learned family leaves them: `points` of all grips with `strata` frictions each, picked in proportion to their
// weight (systematic resampling, Kitagawa 1996). place is then the friction's own quantile.
Draws learned_draws(const SeatFacts& facts, const Draws& draws, const Learned& learned, double middle_N_per_um,
                    std::uint32_t strata, std::uint32_t points);

// Break-loose forces of every grip with `strata` frictions, one from each of as many equally likely ranges,
// N.
std::vector<double> break_loose_forces_N(const SeatFacts& facts, const Draws& draws, std::uint32_t strata);

}  // namespace halfturn::curve
