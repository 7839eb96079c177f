#include "watch/decoded_reading.hpp"

#include "watch/calibrated.hpp"

namespace halfturn {

DecodedReading decoded_reading(std::uint16_t channel, const Reading& reading, Instant at, Gate::Outcome outcome, const Gate& gate) {
    DecodedReading decoded;
    decoded.channel = channel;
    decoded.outcome = outcome;
    decoded.unit = reading.unit;
    decoded.decimals = reading.decimals;
    decoded.printed = printed(reading);
    decoded.at = at;
    decoded.factor = unit_factor(gate.channel(), reading.unit).value_or(0);
    decoded.zero = gate.zero();
    decoded.carried = gate.carried();
    decoded.accepted = gate.accepted();
    return decoded;
}

}  // namespace halfturn
