#include "drivers/shared/scientific.hpp"

#include <cstdint>
#include <limits>

#include "drivers/shared/words.hpp"

namespace halfturn {
namespace {
constexpr int farthest_place = 60;
}

std::optional<ParsedDecimal> parse_scientific(std::string_view text) {
    auto parsed = take_decimal(text);
    if (!parsed || text.empty()) return parsed;
    if (text.front() != 'E' && text.front() != 'e') return {};
    text.remove_prefix(1);
    const bool minus = !text.empty() && text.front() == '-';
    if (minus || (!text.empty() && text.front() == '+')) text.remove_prefix(1);
    if (text.size() > 3) return {};
    const auto digits = parse_digits(text);
    if (!digits) return {};
    const int power = minus ? -static_cast<int>(*digits) : static_cast<int>(*digits);
    const int exponent = parsed->value.exponent + power;
    if (exponent < -farthest_place || exponent > farthest_place) return {};
    if (parsed->value.digits != 0) parsed->value.exponent = static_cast<std::int8_t>(exponent);
    const int decimals = parsed->decimals - power;
    parsed->decimals = decimals < -farthest_place ? -farthest_place : decimals > farthest_place ? farthest_place : decimals;
    return parsed;
}

std::optional<std::int64_t> scaled_whole(Decimal value, int power_of_ten) {
    constexpr std::int64_t most = std::numeric_limits<std::int64_t>::max() / 10;
    std::int64_t size = value.digits < 0 ? -value.digits : value.digits;
    int exponent = size == 0 ? 0 : value.exponent + power_of_ten;
    for (; exponent > 0; --exponent) {
        if (size > most) return {};
        size *= 10;
    }
    for (; exponent < 0 && size != 0; ++exponent) size = exponent == -1 ? (size + 5) / 10 : size / 10;
    return value.digits < 0 ? -size : size;
}

}  // namespace halfturn
