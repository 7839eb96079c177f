#include "core/number_append.hpp"

#include <array>
#include <cmath>
#include <cstdint>

#include "core/number_text.hpp"

namespace halfturn {

void append_number_text(std::string& out, double value) {
    // A decimal of at most 15 figures that reads as this double is its shortest text: no two such decimals read alike
    // (15 is DBL_DIG; IEEE 754-2019, 5.12.2).
    constexpr double parts = 1e6, least = 10, most = 1e14;  // least: below 1e-5 the shortest text has an exponent
    const double scaled = value * parts;
    if (!(std::fabs(scaled) >= least && std::fabs(scaled) < most)) {
        out += number_text(value);
        return;
    }
    const auto whole = static_cast<std::int64_t>(scaled < 0 ? scaled - 0.5 : scaled + 0.5);
    if (static_cast<double>(whole) / parts != value) {
        out += number_text(value);
        return;
    }
    std::array<char, 24> text{};
    char* const end = text.data() + text.size();
    char* from = end;
    auto rest = static_cast<std::uint64_t>(whole < 0 ? -whole : whole);
    int decimals = 6;
    for (; decimals > 0 && rest % 10 == 0; --decimals) rest /= 10;
    const bool point = decimals > 0;
    for (; decimals > 0; --decimals, rest /= 10) *--from = static_cast<char>('0' + rest % 10);
    if (point) *--from = '.';
    do *--from = static_cast<char>('0' + rest % 10);
    while ((rest /= 10) > 0);
    if (whole < 0) *--from = '-';
    out.append(from, end);
}

}  // namespace halfturn
