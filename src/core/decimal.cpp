#include "core/decimal.hpp"

#include <array>

namespace halfturn {
namespace {

constexpr int most_figures = 18;

constexpr std::array<double, 23> powers_of_ten = {1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,
                                                  1e8,  1e9,  1e10, 1e11, 1e12, 1e13, 1e14, 1e15,
                                                  1e16, 1e17, 1e18, 1e19, 1e20, 1e21, 1e22};

bool is_digit(char c) { return c >= '0' && c <= '9'; }

}  // namespace

std::optional<ParsedDecimal> parse_decimal(std::string_view text, DecimalMark mark) {
    ParsedDecimal parsed;
    bool negative = false;
    if (!text.empty() && (text.front() == '+' || text.front() == '-')) {
        negative = text.front() == '-';
        text.remove_prefix(1);
    }
    std::int64_t digits = 0;
    int figures = 0;
    bool after_mark = false;
    bool digit_before = false;
    for (const char c : text) {
        if (is_digit(c)) {
            if (digits != 0 || c != '0') ++figures;
            if (figures > most_figures) return {};
            digits = digits * 10 + (c - '0');
            if (after_mark) ++parsed.decimals;
            else digit_before = true;
            continue;
        }
        const bool is_mark = (c == '.' && mark != DecimalMark::comma) || (c == ',' && mark != DecimalMark::point);
        if (!is_mark || after_mark || !digit_before) return {};
        after_mark = true;
        parsed.used_comma = c == ',';
    }
    if (!digit_before || (after_mark && parsed.decimals == 0) || parsed.decimals > 100) return {};
    parsed.negative_zero = negative && digits == 0;
    parsed.value = normalised(negative ? -digits : digits, -parsed.decimals);
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
