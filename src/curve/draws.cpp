#include "curve/draws.hpp"

#include <array>
#include <cmath>

#include "curve/lattice.hpp"

namespace halfturn::curve {

namespace {

// Quantiles of one doubt, tabulated: between 2048 places the quantile is straight to 1e-5 of its spread, and
// in the last two stretches it is computed.
class QuantileTable {
public:
    explicit QuantileTable(const Doubt& doubt) : doubt_(doubt) {
        for (std::size_t i = 1; i < size; ++i) values_[i] = doubt.at(static_cast<double>(i) / size);
    }
    double at(double u) const {
        const double x = u * size;
        const auto i = static_cast<std::size_t>(x);
        if (i < 4 || i >= size - 4) return doubt_.at(u);
        return values_[i] + (x - static_cast<double>(i)) * (values_[i + 1] - values_[i]);
    }

private:
    static constexpr std::size_t size = 2048;
    const Doubt& doubt_;
    std::array<double, size> values_{};
};

}  // namespace

Draws draw_grips(const SeatFacts& facts, std::uint32_t points, std::uint64_t seed) {
    const Lattice lattice(points, seed);
    const SeatModel model(facts);
    Draws draws;
    draws.grips.reserve(points);
    draws.place.reserve(points);
    for (std::uint32_t i = 0; i < points; ++i) {
        std::array<double, input_count> u;
        for (std::size_t j = 0; j < input_count; ++j) u[j] = lattice.at(i, j);
        draws.grips.push_back(model.grip(u));
        draws.place.push_back(u[static_cast<std::size_t>(Input::friction)]);
    }
    return draws;
}

Draws learned_draws(const SeatFacts& facts, const Draws& draws, const Learned& learned, double middle_N_per_um,
                    std::uint32_t strata, std::uint32_t points) {
    const QuantileTable friction(facts.friction);
    const double middle_um = facts.ring_um.middle() - facts.bore_um.middle() - facts.smoothing_um.middle() + facts.thermal_um;
    const double middle_friction = facts.friction.middle();
    std::vector<double> weights;
    weights.reserve(draws.grips.size() * strata);
    double all = 0;
    for (std::size_t i = 0; i < draws.grips.size(); ++i) {
        const Grip& grip = draws.grips[i];
        // What makes this grip differ from the middle per um acts on the force as friction does.
        const double ln_grip = grip.interference_um > 0 ? std::log(grip.normal_N / (grip.interference_um * middle_N_per_um)) : 0;
        for (std::uint32_t k = 0; k < strata; ++k) {
            const double mu = friction.at((k + draws.place[i]) / strata);
            weights.push_back(learned.weight(grip.interference_um - middle_um, std::log(mu / middle_friction) + ln_grip));
            all += weights.back();
        }
    }
    Draws out;
    out.grips.reserve(points);
    out.place.reserve(points);
    double sum = 0;
    std::size_t at = 0;
    for (std::uint32_t n = 0; n < points; ++n) {
        const double mark = (n + 0.5) / points * all;
        while (at + 1 < weights.size() && sum + weights[at] < mark) sum += weights[at++];
        out.grips.push_back(draws.grips[at / strata]);
        out.place.push_back((static_cast<double>(at % strata) + draws.place[at / strata]) / strata);
    }
    return out;
}

std::vector<double> break_loose_forces_N(const SeatFacts& facts, const Draws& draws, std::uint32_t strata) {
    const QuantileTable friction(facts.friction);
    std::vector<double> forces;
    forces.reserve(draws.grips.size() * strata);
    for (std::size_t i = 0; i < draws.grips.size(); ++i)
        for (std::uint32_t k = 0; k < strata; ++k)
            forces.push_back(friction_force_N(draws.grips[i], facts.balls, friction.at((k + draws.place[i]) / strata)) +
                             draws.grips[i].bond_N);
    return forces;
}

}  // namespace halfturn::curve
