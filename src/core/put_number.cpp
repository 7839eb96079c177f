#include "core/put_number.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

#include "core/number_text.hpp"

namespace halfturn {
namespace {

constexpr std::array<std::array<char, 2>, 100> pairs = [] {
    std::array<std::array<char, 2>, 100> made{};
    for (std::size_t i = 0; i < made.size(); ++i) made[i] = {static_cast<char>('0' + i / 10), static_cast<char>('0' + i % 10)};
    return made;
}();

char* put_text_of(char* to, double value) {
    const std::string text = number_text(value);
    return std::copy(text.begin(), text.end(), to);
}

}  // namespace

char* put_decimal_text(char* to, std::uint64_t whole, std::uint64_t part, int decimals) {
    if (whole < 10) *to++ = static_cast<char>('0' + whole);
    else to = std::to_chars(to, to + 20, whole).ptr;
    if (part == 0) return to;
    for (; part % 100 == 0; decimals -= 2) part /= 100;
    *to = '.';
    char* const end = to + 1 + decimals;
    for (char* at = end; at > to + 1; part /= 100) {
        at -= 2;
        std::copy_n(pairs[part % 100].data(), 2, at);
    }
    return end[-1] == '0' ? end - 1 : end;
}

char* put_number_text(char* to, double value) {
    // A decimal of at most 15 figures that reads as this double is its shortest text: no two such decimals read alike
    // (15 is DBL_DIG; IEEE 754-2019, 5.12.2).
    constexpr double parts = 1e6, least = 10, most = 1e14;  // least: below 1e-5 the shortest text has an exponent
    const double scaled = value * parts;
    const double size = std::fabs(scaled);
    if (value == 0) {
        *to = '0';
        return to + 1;
    }
    if (!(size >= least && size < most)) return put_text_of(to, value);
    const auto nearest = static_cast<std::int64_t>(size + 0.5);  // NOLINT(bugprone-incorrect-roundings): the next line sees it
    if (static_cast<double>(nearest) / parts != std::fabs(value)) return put_text_of(to, value);
    if (value < 0) *to++ = '-';
    const auto rest = static_cast<std::uint64_t>(nearest);
    return put_decimal_text(to, rest / 1'000'000, rest % 1'000'000, 6);
}

}  // namespace halfturn
