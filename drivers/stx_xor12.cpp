// stx-xor12: twelve bytes with a check. Weighing indicators.
//
//     STX sign 6 figures point XORhi XORlo ETX      sign + or - · point: decimals 0 … 4
//     XOR of bytes 2 to 9 as two hexadecimal characters
//
// Sources: XK3190-A23p p.21, -A26 p.10.
// Traps: no unit and no status on the wire. The check is only an XOR: two errors in one column pass.
// Line: 1200 to 9600 8N1. Overload: none on the wire. Silence 0.5 s. Lag 0.1 s.
#include "drivers/shared/fixed_frames.hpp"
#include "drivers/shared/options.hpp"

namespace halfturn {

extern const Format format_stx_xor12;

namespace {

class StxXor12 final : public FixedFrames<StxXor12> {
public:
    static constexpr std::size_t frame_size = 12;

    StxXor12(Unit unit, Start start) : FixedFrames(start, '\x02', frame_size), unit_(unit) {}

    const char* frame(std::string_view bytes, Items& items) const {
        if (bytes[11] != '\x03') return "format";
        unsigned check = 0;
        for (const char c : bytes.substr(1, 8)) check ^= static_cast<unsigned char>(c);
        const auto printed = parse_hex(bytes.substr(9, 2));
        if (!printed || *printed != check) return "checksum";
        const auto figures = parse_digits(bytes.substr(2, 6));
        if ((bytes[1] != '+' && bytes[1] != '-') || !figures || bytes[8] < '0' || bytes[8] > '4') return "format";
        const auto size = static_cast<std::int64_t>(*figures);
        ParsedDecimal value;
        value.decimals = bytes[8] - '0';
        value.value = normalised(bytes[1] == '-' ? -size : size, -value.decimals);
        value.negative_zero = bytes[1] == '-' && size == 0;
        add_reading_in_set_unit(items, value, unit_);
        return nullptr;
    }

private:
    Unit unit_;
};

}  // namespace

const Format format_stx_xor12 = {
    .id = "stx-xor12",
    .title = "sign, six figures and point between STX and ETX, with an XOR check",
    .measures = Quantity::force,
    .line = {.baud = 9600, .bits = 8, .parity = Parity::none, .stop = 1, .dtr = true, .rts = true},
    .longest_frame = StxXor12::frame_size,
    .silence_s = 0.5,
    .lag_s = 0.1,
    .poll = "",
    .poll_every_s = 0,
    .settings = {"unit"},
    .make = [](const Settings& settings, Start start) -> std::unique_ptr<Decoder> {
        return std::make_unique<StxXor12>(Options(format_stx_xor12, settings).unit(), start);
    },
};

}  // namespace halfturn
