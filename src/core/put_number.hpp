// Numbers as text into room that is there already, for tables of millions of them.
#pragma once

#include <cstddef>
#include <cstdint>

namespace halfturn {

// What number_text gives; quicker for numbers of few figures, as instruments print them. Returns where the text ends. `to`
// needs room for most_number_text characters.
constexpr std::size_t most_number_text = 40;
char* put_number_text(char* to, double value);

// whole + part / 10^decimals, without zeros at its end; part below 10^decimals, which are an even number, at most 10.
char* put_decimal_text(char* to, std::uint64_t whole, std::uint64_t part, int decimals);

}  // namespace halfturn
