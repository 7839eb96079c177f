// Numbers to text and back, without any locale: the shortest text that reads back as the same double.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace halfturn {

// Shortest round-trip text; plain notation from 1e-5 up to 1e15, exponent outside. NaN and infinities give "null".
std::string number_text(double value);

// Text with a fixed number of decimals, for people ("12.30"). Minus zero prints as zero.
std::string fixed_text(double value, int decimals);

// Text with about `figures` significant figures and no exponent, for people ("0.0123", "1840").
std::string figures_text(double value, int figures);

// The whole text must be one finite number in point notation, sign allowed; anything else gives nothing.
std::optional<double> parse_number(std::string_view text);
std::optional<std::int64_t> parse_integer(std::string_view text);

}  // namespace halfturn
