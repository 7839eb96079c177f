// digit-sign: seven characters whose first digit is the sign. Force gauges.
//
//     0011.70 CR               0 minus (push), 1 plus (pull), then six characters with the point: -11.70
//
// Source: FH manual p.13 (send "9"; the terminator is not stated, CR assumed).
// Traps: read as a number, "1021.15" is 1021.15 N instead of 21.15 N. Exactly seven characters. No unit, no check. The
// sign's meaning is the maker's: the setting compression_sign says it for the record.
// Line: 9600 8N1. Overload: none on the wire. Silence 1 s. Lag 0.1 s.
#include "drivers/shared/options.hpp"
#include "drivers/shared/text_lines.hpp"
#include "drivers/shared/words.hpp"

namespace halfturn {

extern const Format format_digit_sign;

namespace {

class DigitSign final : public Lines<DigitSign> {
public:
    static constexpr std::size_t longest_line = 24;
    static constexpr std::size_t frame_size = 7;

    DigitSign(const Options& options, Start start)
        : Lines(start, longest_line), unit_(options.unit()), mark_(options.decimal(DecimalMark::point)) {}

    void line(std::string_view text, Items& items) {
        if (text.size() != frame_size) return add_reject(items, "length");
        auto value = is_digit(text[1]) ? parse_decimal(text.substr(1), mark_) : std::nullopt;
        if ((text[0] != '0' && text[0] != '1') || !value || value->decimals == 0) return add_reject(items, "format");
        if (text[0] == '0') {
            value->negative_zero = value->value.digits == 0;
            value->value.digits = -value->value.digits;
        }
        add_reading_in_set_unit(items, *value, unit_);
    }

private:
    Unit unit_;
    DecimalMark mark_;
};

}  // namespace

const Format format_digit_sign = {
    .id = "digit-sign",
    .title = "seven characters, the first digit is the sign (\"0011.70\" is -11.70)",
    .measures = Quantity::force,
    .line = {.baud = 9600, .bits = 8, .parity = Parity::none, .stop = 1, .dtr = true, .rts = true},
    .longest_frame = DigitSign::longest_line,
    .silence_s = 1,
    .lag_s = 0.1,
    .poll = "9",
    .poll_every_s = 0.1,
    .settings = {"unit", "decimal", "compression_sign"},
    .make = [](const Settings& settings, Start start) -> std::unique_ptr<Decoder> {
        const Options options(format_digit_sign, settings);
        options.compression_sign();
        return std::make_unique<DigitSign>(options, start);
    },
};

}  // namespace halfturn
