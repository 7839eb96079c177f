// enc-hexreg: register answers of an encoder-to-serial adapter, in hexadecimal.
//
//     r0E0000000A! CR LF               letter · register · 8 digits of data · [8 digits of time stamp] · [!]
//     s 0E FFFFFFF6 0001E240 ! CR LF   with blanks between the parts, as a setting of the adapter
//     r read · s streamed · w written (acknowledgement) · e error;  register 0E is the count, twos complement
//
// Source: command format comments in public C sources for this adapter family (line ends as the default EOR register).
// Traps: other registers answer in the same shape: only 0E is a count. The stamp's unit depends on the adapter: raw.
// Line: 115200 8N1 (assumed). Overload: none. Silence 1 s. Lag 0.01 s.
#include <array>

#include "drivers/shared/board_clock.hpp"
#include "drivers/shared/options.hpp"
#include "drivers/shared/text_lines.hpp"
#include "drivers/shared/words.hpp"

namespace halfturn {

extern const Format format_enc_hexreg;

namespace {

constexpr std::size_t count_register = 0x0E;

class EncHexreg final : public Lines<EncHexreg> {
public:
    static constexpr std::size_t longest_line = 40;

    explicit EncHexreg(Start start) : Lines(start, longest_line) {}

    void line(std::string_view text, Items& items) {
        std::array<char, 20> packed;
        std::size_t size = 0;
        for (const char c : text) {
            if (c == ' ') continue;
            if (size == packed.size()) return add_reject(items, "length");
            packed[size++] = c;
        }
        std::string_view parts(packed.data(), size);
        if (!parts.empty() && parts.back() == '!') parts.remove_suffix(1);
        if (parts.empty()) return add_reject(items, "format");
        const char letter = parts.front();
        if (letter == 'e') return add_fault(items, FaultCode::device_error, text);
        if (letter != 'r' && letter != 's' && letter != 'w') return add_reject(items, "format");
        if (parts.size() != 11 && parts.size() != 19) return add_reject(items, "length");
        const auto number = parse_hex(parts.substr(1, 2)), data = parse_hex(parts.substr(3, 8));
        const auto stamp = parts.size() == 19 ? parse_hex(parts.substr(11)) : std::uint64_t{0};
        if (!number || !data || !stamp) return add_reject(items, "format");
        if (letter == 'w') return add_info(items, "ack", text);
        if (*number != count_register) return add_info(items, "register", text);
        const bool stamped = parts.size() == 19;
        // The stamp's unit is not known, so half its range tells a wrap from a restart.
        if (stamped && clock_.restarted(*stamp, board_clock_span / 2))
            add_fault(items, FaultCode::device_restarted, "time stamp went back");
        Reading& reading = add_whole(items, static_cast<std::int32_t>(static_cast<std::uint32_t>(*data)), Unit::counts);
        if (stamped) {
            reading.clock = DeviceClock::raw;
            reading.device_time = *stamp;
        }
    }

private:
    BoardClock clock_;
};

}  // namespace

const Format format_enc_hexreg = {
    .id = "enc-hexreg",
    .title = "encoder adapter's register answers in hexadecimal (\"r0E0000000A!\")",
    .measures = Quantity::counts,
    .line = {.baud = 115200, .bits = 8, .parity = Parity::none, .stop = 1, .dtr = true, .rts = true},
    .longest_frame = EncHexreg::longest_line,
    .silence_s = 1,
    .lag_s = 0.01,
    .poll = "R0E\r\n",
    .poll_every_s = 0.01,
    .settings = {"counts_per_turn"},
    .make = [](const Settings& settings, Start start) -> std::unique_ptr<Decoder> {
        Options(format_enc_hexreg, settings).positive("counts_per_turn", {1, 0});
        return std::make_unique<EncHexreg>(start);
    },
};

}  // namespace halfturn
