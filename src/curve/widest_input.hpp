// Which input widens the band most, and what knowing it better would bring.
#pragma once

#include <cstdint>
#include <string>

#include "curve/seat_facts.hpp"

namespace halfturn::curve {

// One sentence, such as "The seat's bore: measuring it to 3 um would halve this band." Method: each input in
// turn is frozen at its middle, and the one whose freezing narrows the break-loose band most is named; then
// the band is computed again with that input known as well as a mechanic can come to know it.
std::string widest_input(const SeatFacts& facts, std::uint64_t seed);

}  // namespace halfturn::curve
