// stx16: sixteen bytes of digits. Hand-held force gauges.
//
//     STX '4' D13 D12 D11 D10 D9 D8 … D1 CR
//     D13 1 or 2 (upper or lower display) · D12 D11 unit: 59 N, 55 kg, 56 LB, 57 g, 58 oz (as forces)
//     D10 sign: 0 plus, 1 minus · D9 decimals 0 … 3 · D8 … D1 eight figures
//
// Sources: FR-5120 manual p.9, VB-8213 manual p.18.
// Traps: no check; a frame whose length or digits are wrong is refused whole, never finished with figures of the one before.
// kg, g, LB and oz are forces here: kgf, gf, lbf, ozf.
// Line: 9600 8N1. Overload: none on the wire. Silence 1 s. Lag 0.2 s.
#include "drivers/shared/fixed_frames.hpp"
#include "drivers/shared/options.hpp"

namespace halfturn {

extern const Format format_stx16;

namespace {

class Stx16 final : public FixedFrames<Stx16> {
public:
    static constexpr std::size_t frame_size = 16;

    explicit Stx16(Start start) : FixedFrames(start, '\x02', frame_size) {}

    const char* frame(std::string_view bytes, Items& items) const {
        if (bytes[15] != '\r' || bytes[1] != '4' || (bytes[2] != '1' && bytes[2] != '2')) return "format";
        const auto figures = parse_digits(bytes.substr(7, 8));
        if (!figures || (bytes[5] != '0' && bytes[5] != '1') || bytes[6] < '0' || bytes[6] > '3') return "format";
        const auto unit = unit_of(bytes.substr(3, 2));
        if (!unit) return "unit";
        const bool minus = bytes[5] == '1';
        const auto size = static_cast<std::int64_t>(*figures);
        ParsedDecimal value;
        value.decimals = bytes[6] - '0';
        value.value = normalised(minus ? -size : size, -value.decimals);
        value.negative_zero = minus && size == 0;
        Reading& reading = add_reading(items, value, *unit);
        if (bytes[2] == '2') reading.channel = ChannelName("2");
        return nullptr;
    }

private:
    static std::optional<Unit> unit_of(std::string_view code) {
        if (code == "59") return Unit::N;
        if (code == "55") return Unit::kgf;
        if (code == "56") return Unit::lbf;
        if (code == "57") return Unit::gf;
        if (code == "58") return Unit::ozf;
        return {};
    }
};

}  // namespace

const Format format_stx16 = {
    .id = "stx16",
    .title = "sixteen digits between STX and CR (hand-held force gauges)",
    .measures = Quantity::force,
    .line = {.baud = 9600, .bits = 8, .parity = Parity::none, .stop = 1, .dtr = true, .rts = true},
    .longest_frame = Stx16::frame_size,
    .silence_s = 1,
    .lag_s = 0.2,
    .poll = "",
    .poll_every_s = 0,
    .settings = {},
    .make = [](const Settings& settings, Start start) -> std::unique_ptr<Decoder> {
        Options(format_stx16, settings);
        return std::make_unique<Stx16>(start);
    },
};

}  // namespace halfturn
