#include "watch/calibrated.hpp"

namespace halfturn {

std::optional<double> unit_factor(const ChannelSetUp& channel, Unit unit) {
    switch (channel.measures) {
        case Measure::force:
            if (const auto factor = factor_to_base(unit); factor && quantity_of(unit) == Quantity::force) return factor;
            if (const auto gravity = mass_to_force_N(unit); gravity && channel.mass_as_force) return gravity;
            break;
        case Measure::screw_travel:
        case Measure::ring_travel:
            if (const auto factor = factor_to_base(unit); factor && quantity_of(unit) == Quantity::length) return factor;
            break;
        case Measure::turns:
            if (channel.counts_per_turn <= 0) return {};
            return 1;
    }
    if (quantity_of(unit) != Quantity::counts || channel.coefficients.empty()) return {};
    return 1;
}

double calibrated(const ChannelSetUp& channel, double printed, double factor) {
    double x = printed * factor;
    if (channel.measures == Measure::turns) x /= channel.counts_per_turn;
    if (!channel.coefficients.empty()) {
        double y = 0;
        for (std::size_t i = channel.coefficients.size(); i-- > 0;) y = y * x + channel.coefficients[i];
        x = y;
    }
    return x * channel.sign;
}

}  // namespace halfturn
