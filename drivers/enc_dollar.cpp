// enc-dollar: an encoder module asked with "$", answering with "*".
//
//     *0R165530 CR             module · R · axis · count without sign: 3, 5, 8 or 10 digits for 8, 16, 24 or 32 bits
//     *0F1001 CR               module · F · axis · flags: carry, borrow, power-up; cleared when read
//     *0NACK CR                unknown command
//
// Source: dual encoder to USB module specification 02109-001 p.3-6 (the R answer seen in its general form).
// Traps: the counter wraps; it is unwrapped by the shortest step, so it must be read before half its range has gone by. The
// power-up flag means that the position is lost.
// Line: 115200 8N1. Overload: none. Silence 1 s. Lag 0.01 s.
#include <array>

#include "drivers/shared/options.hpp"
#include "drivers/shared/text_lines.hpp"
#include "drivers/shared/words.hpp"

namespace halfturn {

extern const Format format_enc_dollar;

namespace {

// Bits of a counter printed with so many digits; 0 when none is.
constexpr int bits_of_digits(std::size_t digits) {
    return digits == 3 ? 8 : digits == 5 ? 16 : digits == 8 ? 24 : digits == 10 ? 32 : 0;
}

class EncDollar final : public Lines<EncDollar> {
public:
    static constexpr std::size_t longest_line = 32;

    EncDollar(int width_bits, Start start) : Lines(start, longest_line), width_bits_(width_bits) {}

    void line(std::string_view text, Items& items) {
        if (text.front() == '$') return add_info(items, "echo", text);
        if (text.size() < 4 || text[0] != '*' || !is_digit(text[1])) return add_reject(items, "format");
        const std::string_view body = text.substr(2);
        if (body == "NACK") return add_fault(items, FaultCode::bad_command, body);
        if (body.size() < 3 || !is_digit(body[1])) return add_reject(items, "format");
        const std::string_view rest = body.substr(2);
        if (body[0] == 'R') return count(body[1], rest, items);
        if (body[0] == 'F') return flags(body.substr(1, 1), rest, items);
        add_reject(items, "format");
    }

private:
    struct Axis {
        std::int64_t last = 0;
        std::int64_t unwrapped = 0;
        bool known = false;
    };

    void count(char name, std::string_view digits, Items& items) {
        const int bits = bits_of_digits(digits.size());
        if (bits == 0 || (width_bits_ != 0 && bits != width_bits_)) return add_reject(items, "length");
        const auto printed = parse_digits(digits);
        if (!printed) return add_reject(items, "format");
        const std::int64_t range = std::int64_t{1} << bits;
        const auto value = static_cast<std::int64_t>(*printed);
        if (value >= range) return add_reject(items, "range");
        Axis& axis = axes_[static_cast<std::size_t>(name - '0')];
        std::int64_t step = value - axis.last;
        if (step > range / 2) step -= range;
        if (step < -range / 2) step += range;
        axis.unwrapped = axis.known ? axis.unwrapped + step : value;
        axis.last = value;
        axis.known = true;
        Reading& reading = add_whole(items, value, Unit::counts);
        reading.channel = ChannelName(std::string_view(&name, 1));
        reading.unwrapped = axis.unwrapped;
    }

    static void flags(std::string_view axis, std::string_view flags, Items& items) {
        if (flags.size() != 3 || flags.find_first_not_of("01") != std::string_view::npos) return add_reject(items, "format");
        if (flags[2] == '1') return add_fault(items, FaultCode::device_restarted, "power-up flag", ChannelName(axis));
        add_info(items, flags[0] == '1' ? "carry" : flags[1] == '1' ? "borrow" : "flags", flags);
    }

    int width_bits_;
    std::array<Axis, 10> axes_{};
};

}  // namespace

const Format format_enc_dollar = {
    .id = "enc-dollar",
    .title = "encoder module asked with \"$\", answering with \"*\" (\"*0R165530\")",
    .measures = Quantity::counts,
    .line = {.baud = 115200, .bits = 8, .parity = Parity::none, .stop = 1, .dtr = true, .rts = true},
    .longest_frame = EncDollar::longest_line,
    .silence_s = 1,
    .lag_s = 0.01,
    .poll = "$0R1\r",
    .poll_every_s = 0.01,
    .settings = {"width_bits", "counts_per_turn"},
    .make = [](const Settings& settings, Start start) -> std::unique_ptr<Decoder> {
        const Options options(format_enc_dollar, settings);
        options.positive("counts_per_turn", {1, 0});
        constexpr int widths[] = {8, 16, 24, 32};
        const int width = options.text("width_bits") ? widths[options.choice("width_bits", {"8", "16", "24", "32"}, 0)] : 0;
        return std::make_unique<EncDollar>(width, start);
    },
};

}  // namespace halfturn
