// One reading of one channel and what its gate made of it, small enough to be handed on for every reading of a job.
#pragma once

#include "core/decimal.hpp"
#include "core/event.hpp"
#include "core/unit.hpp"
#include "watch/gate.hpp"

namespace halfturn {

struct DecodedReading {
    std::uint16_t channel = 0;   // counted as in the set-up
    Gate::Outcome outcome = Gate::Outcome::accepted;
    Unit unit = Unit::none;
    std::int8_t decimals = 0;    // as printed
    Decimal printed;             // exactly; for a counter with its wraps undone
    Instant at = 0;
    double factor = 1;           // unit_factor(), or 0 where there is none
    double zero = 0, carried = 0;  // the gate's, after this reading
    std::uint64_t accepted = 0;  // the gate's count after this reading
};

DecodedReading decoded_reading(std::uint16_t channel, const Reading& reading, Instant at, Gate::Outcome outcome, const Gate& gate);

}  // namespace halfturn
