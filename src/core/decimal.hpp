// A number exactly as an instrument printed it: digits x 10^exponent. No float until a calibration is applied.
//   parse_decimal("+0012.340") -> {1234, -2};  to_text -> "12.34";  to_double -> 12.34
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace halfturn {

struct Decimal {
    std::int64_t digits = 0;
    std::int8_t exponent = 0;

    friend bool operator==(const Decimal&, const Decimal&) = default;
};

enum class DecimalMark : std::uint8_t { point, comma, either };

// What else a printed number may tell.
struct ParsedDecimal {
    Decimal value;            // trailing zeros removed; minus zero is zero
    bool negative_zero = false;
    bool used_comma = false;
    int decimals = 0;         // figures after the mark as printed: the resolution is 10^-decimals
};

// The whole text must be [+|-] digits [mark digits], at least one digit on each side of a mark that is there, and at most
// 18 significant figures. Blanks are not allowed: the format knows where they may stand.
std::optional<ParsedDecimal> parse_decimal(std::string_view text, DecimalMark mark = DecimalMark::point);

// The same at the front of a text, which shrinks by what was read; with nothing read it stays as it is. A mark without a
// digit after it is not read ("12,GS" with a comma allowed gives 12 and leaves ",GS").
std::optional<ParsedDecimal> take_decimal(std::string_view& text, DecimalMark mark = DecimalMark::point);

// digits x 10^exponent with trailing zeros moved into the exponent, so that equal values compare equal.
Decimal normalised(std::int64_t digits, int exponent);

// Plain decimal text without exponent: "-0.005", "1230".
std::string to_text(Decimal value);

// The nearest double (correctly rounded while |digits| < 2^53 and |exponent| <= 22, which covers every format here).
double to_double(Decimal value);

}  // namespace halfturn
