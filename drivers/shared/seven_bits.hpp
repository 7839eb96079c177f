// 7-bit instruments read with 8-bit line settings: their parity stands in bit 7. Every byte of one parity, some with bit 7
// set, and without it a frame that the format knows, is no accident: it is said once, what follows is refused. Not a format
// itself.
#pragma once

#include <bit>
#include <string>
#include <string_view>

#include "core/format.hpp"
#include "core/reading.hpp"

namespace halfturn {

// The parity that all of these bytes have in eight bits, where at least one has bit 7 set; else none.
inline Parity parity_of(std::string_view bytes) {
    bool even = true, odd = true, high = false;
    for (const char c : bytes) {
        const auto byte = static_cast<unsigned char>(c);
        const bool is_odd = std::popcount(byte) % 2 == 1;
        even = even && !is_odd;
        odd = odd && is_odd;
        high = high || byte >= 0x80;
    }
    if (!high) return Parity::none;
    return even ? Parity::even : odd ? Parity::odd : Parity::none;
}

inline std::string without_bit_7(std::string_view bytes) {
    std::string stripped(bytes);
    for (char& c : stripped) c = static_cast<char>(c & 0x7F);
    return stripped;
}

// What a frame of that parity is told as: the first as a fault, the others as rejects.
inline Item wrong_line_settings(Parity parity, Parity& told) {
    if (parity == told) return Reject{"line_settings"};
    told = parity;
    return Fault{FaultCode::line_settings, parity == Parity::even ? "7-bit even parity data read as 8 bits"
                                                                  : "7-bit odd parity data read as 8 bits"};
}

}  // namespace halfturn
