#include "core/decimal.hpp"

#include <array>
#include <cstddef>

namespace halfturn {
namespace {

constexpr int most_figures = 18;
constexpr std::size_t most_characters = 60;  // keeps every exponent well inside its eight bits

constexpr std::array<std::uint64_t, most_figures + 1> integer_powers_of_ten = [] {
    std::array<std::uint64_t, most_figures + 1> powers{};
    powers[0] = 1;
    for (std::size_t i = 1; i < powers.size(); ++i) powers[i] = powers[i - 1] * 10;
    return powers;
}();

constexpr std::array<double, 23> powers_of_ten = {1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
                                                  1e8,  1e9,  1e10, 1e11, 1e12, 1e13, 1e14, 1e15,
                                                  1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};

bool is_digit(char c) { return c >= '0' && c <= '9'; }

// The figures of a number that has more of them than surely fit; its mark is passed over. Zeros wait until another figure
// follows, so that only those between the first and the last count.
struct Figures {
    std::uint64_t digits = 0;
    int count = 0;
    int trailing_zeros = 0;

    Figures(const char* at, const char* end) {
        for (; at != end; ++at) {
            if (!is_digit(*at)) continue;
            if (*at == '0') {
                if (digits != 0) ++trailing_zeros;
                continue;
            }
            count += trailing_zeros + 1;
            if (count > most_figures) return;
            digits = digits * integer_powers_of_ten[static_cast<std::size_t>(trailing_zeros) + 1] + static_cast<std::uint64_t>(*at - '0');
            trailing_zeros = 0;
        }
    }
};

}  // namespace

std::optional<ParsedDecimal> take_decimal(std::string_view& text, DecimalMark mark) {
    const char* at = text.data();
    const char* const end = at + text.size();
    bool negative = false;
    if (at != end && (*at == '+' || *at == '-')) negative = *at++ == '-';
    const char* const first = at;
    std::uint64_t digits = 0;  // of a number with too many figures this is nonsense; that is found below
    for (; at != end && is_digit(*at); ++at) digits = digits * 10 + static_cast<std::uint64_t>(*at - '0');
    std::ptrdiff_t figures = at - first;
    if (figures == 0) return {};
    ParsedDecimal parsed;
    if (end - at >= 2 && is_digit(at[1]) &&
        ((*at == '.' && mark != DecimalMark::comma) || (*at == ',' && mark != DecimalMark::point))) {
        parsed.used_comma = *at == ',';
        const char* const first_decimal = ++at;
        for (; at != end && is_digit(*at); ++at) digits = digits * 10 + static_cast<std::uint64_t>(*at - '0');
        parsed.decimals = static_cast<int>(at - first_decimal);
        figures += parsed.decimals;
    }
    const auto length = static_cast<std::size_t>(at - text.data());
    int exponent = -parsed.decimals;
    if (figures > most_figures) {
        const Figures counted(first, at);
        if (counted.count > most_figures || length > most_characters) return {};
        digits = counted.digits;
        exponent += counted.trailing_zeros;
    }
    const auto value = negative ? -static_cast<std::int64_t>(digits) : static_cast<std::int64_t>(digits);
    if (digits == 0) parsed.negative_zero = negative;
    else if (at[-1] == '0') parsed.value = normalised(value, exponent);
    else parsed.value = {value, static_cast<std::int8_t>(exponent)};
    text.remove_prefix(length);
    return parsed;
}

std::optional<ParsedDecimal> parse_decimal(std::string_view text, DecimalMark mark) {
    const auto parsed = take_decimal(text, mark);
    if (!text.empty()) return {};
    return parsed;
}

Decimal normalised(std::int64_t digits, int exponent) {
    if (digits == 0) return {};
    while (digits % 10 == 0) {
        digits /= 10;
        ++exponent;
    }
    return {digits, static_cast<std::int8_t>(exponent)};
}

std::string to_text(Decimal value) {
    std::string text = std::to_string(value.digits < 0 ? -value.digits : value.digits);
    if (value.digits != 0 && value.exponent > 0) text.append(static_cast<std::size_t>(value.exponent), '0');
    if (value.exponent < 0) {
        const auto decimals = static_cast<std::size_t>(-value.exponent);
        if (text.size() <= decimals) text.insert(0, decimals + 1 - text.size(), '0');
        text.insert(text.size() - decimals, 1, '.');
    }
    if (value.digits < 0) text.insert(0, 1, '-');
    return text;
}

double to_double(Decimal value) {
    double result = static_cast<double>(value.digits);
    int exponent = value.exponent;
    for (; exponent > 22; exponent -= 22) result *= 1e22;
    for (; exponent < -22; exponent += 22) result /= 1e22;
    return exponent >= 0 ? result * powers_of_ten[static_cast<std::size_t>(exponent)]
                         : result / powers_of_ten[static_cast<std::size_t>(-exponent)];
}

}  // namespace halfturn
