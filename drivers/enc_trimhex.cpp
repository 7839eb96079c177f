// enc-trimhex: a count in twos-complement hexadecimal without its leading zeros or Fs. Motor controllers with encoder input.
//
//     0FA CR                   250: the first digit tells the sign, a guard digit stays where it would tell wrongly
//     A CR -6 · F15 CR -235 · 5 CR 5 · at most 8 digits
//     + CR | - CR              command understood | not understood;  a line beginning with ? or ! is the echo
//
// Source: AX1500 manual p.153 and 163, AX3500 table 33.
// Traps: "FA" would be -6 written too long: what is not trimmed was hurt and is refused. No check: a lost digit is not seen,
// so verify with the index pulse each turn.
// Line: 9600 7E1. Overload: none. Silence 1 s. Lag 0.02 s.
#include "drivers/shared/options.hpp"
#include "drivers/shared/text_lines.hpp"
#include "drivers/shared/words.hpp"

namespace halfturn {

extern const Format format_enc_trimhex;

namespace {

class EncTrimhex final : public Lines<EncTrimhex> {
public:
    static constexpr std::size_t longest_line = 24;

    explicit EncTrimhex(Start start) : Lines(start, longest_line) {}

    void line(std::string_view text, Items& items) {
        if (text == "+") return add_info(items, "ack", text);
        if (text == "-") return add_fault(items, FaultCode::bad_command, text);
        if (text.front() == '?' || text.front() == '!') return add_info(items, "echo", text);
        if (text.size() > 8) return add_reject(items, "length");
        std::uint32_t value = 0;
        for (const char c : text) {
            if (c >= 'a') return add_reject(items, "format");  // printed in capitals
            const auto digit = hex_digit(c);
            if (!digit) return add_reject(items, "format");
            value = value << 4 | *digit;
        }
        const unsigned first = *hex_digit(text.front());
        if (text.size() > 1) {
            const bool next_is_high = *hex_digit(text[1]) >= 8;
            if ((first == 0 && !next_is_high) || (first == 15 && next_is_high)) return add_reject(items, "format");
        }
        const unsigned bits = static_cast<unsigned>(text.size()) * 4;
        if (first >= 8 && bits < 32) value |= ~std::uint32_t{0} << bits;
        add_whole(items, static_cast<std::int32_t>(value), Unit::counts);
    }
};

}  // namespace

const Format format_enc_trimhex = {
    .id = "enc-trimhex",
    .title = "count in hexadecimal without leading zeros or Fs (\"0FA\")",
    .measures = Quantity::counts,
    .line = {.baud = 9600, .bits = 7, .parity = Parity::even, .stop = 1, .dtr = true, .rts = true},
    .longest_frame = EncTrimhex::longest_line,
    .silence_s = 1,
    .lag_s = 0.02,
    .poll = "?Q0\r",
    .poll_every_s = 0.05,
    .settings = {"counts_per_turn"},
    .make = [](const Settings& settings, Start start) -> std::unique_ptr<Decoder> {
        Options(format_enc_trimhex, settings).positive("counts_per_turn", {1, 0});
        return std::make_unique<EncTrimhex>(start);
    },
};

}  // namespace halfturn
