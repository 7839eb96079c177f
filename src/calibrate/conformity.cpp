#include "calibrate/conformity.hpp"

#include "calibrate/probability.hpp"
#include "core/failure.hpp"

namespace halfturn::calibrate {

std::string_view conformity_name(Conformity conformity) {
    switch (conformity) {
        case Conformity::inside:
            return "inside";
        case Conformity::outside:
            return "outside";
        default:
            return "undecided";
    }
}

Conformity decide(double value, double guard, std::optional<double> low, std::optional<double> high) {
    if (!(guard >= 0)) throw BadInput("the uncertainty must be zero or more to decide by it");
    if (low && high && *low > *high) throw BadInput("the lower limit lies above the upper one");
    if ((low && value < *low - guard) || (high && value > *high + guard)) return Conformity::outside;
    if ((!low || value >= *low + guard) && (!high || value <= *high - guard)) return Conformity::inside;
    return Conformity::undecided;
}

double guard_band(double u, double probability) {
    // The two-sided factor for 2p - 1 is the one-sided one for p.
    return u * normal_coverage_factor(2 * probability - 1);
}

}  // namespace halfturn::calibrate
