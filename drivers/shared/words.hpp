// Small steps through one line of text, shared by the formats. Not a format itself.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string_view>

#include "core/decimal.hpp"
#include "core/format.hpp"
#include "core/reading.hpp"

namespace halfturn {

inline bool is_digit(char c) { return c >= '0' && c <= '9'; }
inline bool is_letter(char c) { return (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z'); }

inline void skip_blanks(std::string_view& text) {
    while (!text.empty() && text.front() == ' ') text.remove_prefix(1);
}
inline void drop_trailing_blanks(std::string_view& text) {
    while (!text.empty() && text.back() == ' ') text.remove_suffix(1);
}
inline bool skip_one(std::string_view& text, char c) {
    if (text.empty() || text.front() != c) return false;
    text.remove_prefix(1);
    return true;
}
// Takes what stands before `mark`, and the mark; everything when there is no mark.
inline std::string_view take_until(std::string_view& text, char mark) {
    std::size_t at = 0;
    while (at < text.size() && text[at] != mark) ++at;
    const std::string_view taken = text.substr(0, at);
    text.remove_prefix(at < text.size() ? at + 1 : at);
    return taken;
}

// Value 0..15 of a hexadecimal digit in capitals or not, or nothing.
inline std::optional<unsigned> hex_digit(char c) {
    if (is_digit(c)) return static_cast<unsigned>(c - '0');
    if (c >= 'A' && c <= 'F') return static_cast<unsigned>(c - 'A' + 10);
    if (c >= 'a' && c <= 'f') return static_cast<unsigned>(c - 'a' + 10);
    return {};
}
// The whole text, 1 to 16 hexadecimal digits.
inline std::optional<std::uint64_t> parse_hex(std::string_view text) {
    if (text.empty() || text.size() > 16) return {};
    std::uint64_t value = 0;
    for (const char c : text) {
        const auto digit = hex_digit(c);
        if (!digit) return {};
        value = value << 4 | *digit;
    }
    return value;
}
// The whole text, 1 to 18 decimal digits without a sign.
inline std::optional<std::uint64_t> parse_digits(std::string_view text) {
    if (text.empty() || text.size() > 18) return {};
    std::uint64_t value = 0;
    for (const char c : text) {
        if (!is_digit(c)) return {};
        value = value * 10 + static_cast<std::uint64_t>(c - '0');
    }
    return value;
}

// A copy of this is made with a few stores; g++ clears a fresh one with an instruction that takes longer than a line's parsing.
inline constexpr Reading blank_reading{};

inline Reading& add_reading(Items& items, const ParsedDecimal& parsed, Unit unit) {
    Reading& reading = *std::get_if<Reading>(&items.emplace_back(blank_reading));
    reading.value = parsed.value;
    reading.decimals = static_cast<std::int8_t>(parsed.decimals);
    reading.negative_zero = parsed.negative_zero;
    reading.decimal_comma = parsed.used_comma;
    reading.unit = unit;
    return reading;
}
// A reading whose unit is not on the wire.
inline Reading& add_reading_in_set_unit(Items& items, const ParsedDecimal& parsed, Unit unit) {
    Reading& reading = add_reading(items, parsed, unit);
    reading.unit_from_settings = true;
    return reading;
}
inline Reading& add_whole(Items& items, std::int64_t value, Unit unit) {
    Reading& reading = std::get<Reading>(items.emplace_back(std::in_place_type<Reading>));
    reading.value = normalised(value, 0);
    reading.unit = unit;
    return reading;
}
inline void add_fault(Items& items, FaultCode code, std::string_view detail, ChannelName channel = {}) {
    items.emplace_back(Fault{code, std::string(detail), channel});
}
inline void add_reject(Items& items, std::string_view reason) { items.emplace_back(Reject{reason}); }
inline void add_info(Items& items, std::string_view what, std::string_view text) {
    items.emplace_back(Info{what, std::string(text)});
}

}  // namespace halfturn
