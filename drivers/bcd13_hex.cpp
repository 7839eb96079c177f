// bcd13-hex: the 13-digit BCD frame of digital indicators ("52 bit"), printed by a bridge as 13 hexadecimal digits a line.
//
//     FFFF801234530 CR LF              d1 … d13 in wire order; blanks before them are tolerated
//     d1-d4 all F · d5 sign (0 plus, 8 minus) · d6-d11 six decimal digits, most significant first
//     d12 decimals 0 … 5 · d13: 0 mm · 1 inch · 2 mm over · 3 mm go · 4 mm under · 5 inch over · 6 inch go · 7 inch under
//
// Sources: 99MBA043A p.6-12, 99MBC095A p.6-28 (d13 with judgement); the line is our own bridge's form.
// Traps: no checksum, so every guard is used. A bridge with the bit order reversed shows sign 1 and unit 8: refused. There is
// an 8-digit variant: the length is checked. A decoder that knows only units 0 and 1 loses every judged value. Minus zero
// exists.
// Line: 115200 8N1. Overload, battery: no answer at all. Silence 1 s (1 to 10 answers a second). Lag 0.1 s.
#include "drivers/shared/options.hpp"
#include "drivers/shared/text_lines.hpp"
#include "drivers/shared/words.hpp"

namespace halfturn {

extern const Format format_bcd13_hex;

namespace {

class Bcd13Hex final : public Lines<Bcd13Hex> {
public:
    static constexpr std::size_t longest_line = 32;

    explicit Bcd13Hex(Start start) : Lines(start, longest_line) {}

    void line(std::string_view text, Items& items) {
        skip_blanks(text);
        drop_trailing_blanks(text);
        if (text.size() != 13) return add_reject(items, "length");
        if (text.substr(0, 4) != "FFFF" || (text[4] != '0' && text[4] != '8')) return add_reject(items, "format");
        const auto digits = parse_digits(text.substr(5, 6));
        if (!digits) return add_reject(items, "bcd");
        const char decimals = text[11], unit = text[12];
        if (decimals < '0' || decimals > '5' || unit < '0' || unit > '7') return add_reject(items, "format");
        static constexpr Limit judgements[8] = {Limit::none, Limit::none, Limit::over, Limit::go,
                                                Limit::under, Limit::over, Limit::go, Limit::under};
        const bool minus = text[4] == '8';
        const auto size = static_cast<std::int64_t>(*digits);
        ParsedDecimal value;
        value.decimals = decimals - '0';
        value.value = normalised(minus ? -size : size, -value.decimals);
        value.negative_zero = minus && size == 0;
        const bool inch = unit == '1' || unit >= '5';
        add_reading(items, value, inch ? Unit::in : Unit::mm).judged = judgements[unit - '0'];
    }
};

}  // namespace

const Format format_bcd13_hex = {
    .id = "bcd13-hex",
    .title = "13-digit BCD frame of an indicator as hexadecimal digits (\"FFFF801234530\")",
    .measures = Quantity::length,
    .line = {.baud = 115200, .bits = 8, .parity = Parity::none, .stop = 1, .dtr = true, .rts = true},
    .longest_frame = Bcd13Hex::longest_line,
    .silence_s = 1,
    .lag_s = 0.1,
    .poll = "",
    .poll_every_s = 0,
    .settings = {},
    .make = [](const Settings& settings, Start start) -> std::unique_ptr<Decoder> {
        Options(format_bcd13_hex, settings);
        return std::make_unique<Bcd13Hex>(start);
    },
};

}  // namespace halfturn
