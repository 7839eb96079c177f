// How a number that an instrument printed becomes N, mm or turns: unit, calibration and sign of its channel. On the judge's
// path, and used again to read samples back to the very same bits.
#pragma once

#include <optional>

#include "core/set_up.hpp"
#include "core/unit.hpp"

namespace halfturn {

// What a printed number of this unit is multiplied by before the calibration: to N or mm; 1 for counts. Nothing when such a
// unit can't become what the channel measures.
std::optional<double> unit_factor(const ChannelSetUp& channel, Unit unit);

// In N, mm or turns, from the certificate's zero. `factor`: as unit_factor gave it.
double calibrated(const ChannelSetUp& channel, double printed, double factor);

}  // namespace halfturn
