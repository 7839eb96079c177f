// The words beside an expectation: what each number rests on, and what a calm colleague would add.
#pragma once

#include <string>
#include <vector>

#include "curve/expectation.hpp"

namespace halfturn::curve {

std::vector<Ground> grounds_of(const SeatFacts& facts);

// Sentences for the mechanic, the weightiest first. Needs the expectation's numbers, not its words.
std::vector<std::string> advice_for(const Expectation& expectation, const SeatFacts& facts);

}  // namespace halfturn::curve
