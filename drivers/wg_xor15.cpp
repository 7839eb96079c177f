// wg-xor15: header, seven characters, unit and a check, one line each. Weighing indicators.
//
//     WG004.139kg3D CR LF      W · G gross or N net · 7 characters · unit · XOR of bytes 1 to 11 in hexadecimal
//              OL23 CR LF      nine blanks, OL overload or LO underload, check
//
// Source: XK3190-A12E p.13 (the sample's check recomputed: 3D).
// Traps: overload has the same length and a right check, but no number.
// Line: 9600 8N1. Overload: OL, underload: LO. Silence 0.5 s. Lag 0.1 s.
#include "drivers/shared/options.hpp"
#include "drivers/shared/text_lines.hpp"
#include "drivers/shared/words.hpp"

namespace halfturn {

extern const Format format_wg_xor15;

namespace {

constexpr std::size_t checked_size = 11;

class WgXor15 final : public Lines<WgXor15> {
public:
    static constexpr std::size_t longest_line = 24;
    static constexpr std::size_t frame_size = 13;  // without CR LF

    explicit WgXor15(Start start) : Lines(start, longest_line) {}

    void line(std::string_view text, Items& items) {
        if (text.size() != frame_size) return add_reject(items, "length");
        unsigned check = 0;
        for (const char c : text.substr(0, checked_size)) check ^= static_cast<unsigned char>(c);
        const auto printed = parse_hex(text.substr(checked_size));
        if (!printed || *printed != check) return add_reject(items, "checksum");
        if (text.substr(0, 9) == "         ") {
            if (text.substr(9, 2) == "OL") return add_fault(items, FaultCode::overload, "OL");
            if (text.substr(9, 2) == "LO") return add_fault(items, FaultCode::underload, "LO");
        }
        std::string_view figures = text.substr(2, 7);
        skip_blanks(figures);
        const auto value = parse_decimal(figures);
        const auto unit = unit_from_wire(text.substr(9, 2));
        if (text[0] != 'W' || (text[1] != 'G' && text[1] != 'N') || !value) return add_reject(items, "format");
        if (!unit) return add_reject(items, "unit");
        add_reading(items, *value, *unit).kind = text[1] == 'G' ? Kind::gross : Kind::net;
    }
};

}  // namespace

const Format format_wg_xor15 = {
    .id = "wg-xor15",
    .title = "header, figures, unit and an XOR check (\"WG004.139kg3D\")",
    .measures = Quantity::force,
    .line = {.baud = 9600, .bits = 8, .parity = Parity::none, .stop = 1, .dtr = true, .rts = true},
    .longest_frame = WgXor15::longest_line,
    .silence_s = 0.5,
    .lag_s = 0.1,
    .poll = "",
    .poll_every_s = 0,
    .settings = {},
    .make = [](const Settings& settings, Start start) -> std::unique_ptr<Decoder> {
        Options(format_wg_xor15, settings);
        return std::make_unique<WgXor15>(start);
    },
};

}  // namespace halfturn
