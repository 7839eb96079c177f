// Decimal numbers with an exponent ("+1.23456E+01"), kept exact. Not a format itself.
#pragma once

#include <optional>
#include <string_view>

#include "core/decimal.hpp"

namespace halfturn {

// The whole text: [+|-] digits ['.' digits] [E|e [+|-] digits]. Nothing when the result has a place outside 10^-60 … 10^60.
std::optional<ParsedDecimal> parse_scientific(std::string_view text);

// value x 10^power_of_ten as a whole number, rounded to nearest, halves away from zero; nothing when it does not fit.
std::optional<std::int64_t> scaled_whole(Decimal value, int power_of_ten);

}  // namespace halfturn
