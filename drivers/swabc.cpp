// swabc: continuous frame with three status words. Weighing indicators.
//
//     STX SWA SWB SWC 6 figures of weight 6 of tare CR [CKS]          17 bytes, 18 with the check
//     SWA  bits 0-2 decimals: 0 x100 · 1 x10 · 2 none · 3 … 7 one to five · bits 3-4 step 1, 2, 5
//     SWB  0 net · 1 negative · 2 out of range · 3 motion · 4 kg (else lb) · 6 power-up, not zeroed
//     SWC  0 grams · 1-2 other units · 3 print asked · 6 tare by keyboard
//     CKS  low seven bits of all 18 bytes add up to 0 (setting checksum = true, the default; false where none is sent)
//
// Sources: 57C428 guide app. D, FTC p.42, Cardinal 225 p.118, E15609900A p.6-5, FB3000 p.55, LUW2001 p.15.
// Traps: CKS may equal STX or CR: never start again at a bare STX. The constant bits differ between makers (bit 5 of SWB is
// 0 with one, 1 with others) and are not looked at; only where no check is sent must the words be printable, as most are. Out of range comes with a plausible number. The instrument may be set to 7 or to 8 bits.
// Line: 9600 8N1 or 7E1. Overload: SWB bit 2. Silence 0.5 s (up to about 20 a second; from memory, not looked up). Lag 0.1 s.
#include "drivers/shared/fixed_frames.hpp"
#include "drivers/shared/options.hpp"

namespace halfturn {

extern const Format format_swabc;

namespace {

class Swabc final : public FixedFrames<Swabc> {
public:
    static constexpr std::size_t frame_size = 17;

    Swabc(bool checksum, Start start) : FixedFrames(start, '\x02', frame_size + (checksum ? 1 : 0)), checksum_(checksum) {}

    const char* frame(std::string_view bytes, Items& items) const {
        if (bytes[16] != '\r') return "format";
        if (checksum_) {
            unsigned sum = 0;
            for (const char c : bytes) sum += static_cast<unsigned char>(c) & 0x7Fu;
            if ((sum & 0x7F) != 0) return "checksum";
        }
        const auto word = [&](std::size_t i) { return static_cast<unsigned char>(bytes[i]); };
        if (!checksum_ && (word(1) < 0x20 || word(2) < 0x20 || word(3) < 0x20)) return "format";
        std::string_view figures = bytes.substr(4, 6);
        skip_blanks(figures);
        const auto weight = parse_digits(figures);
        std::string_view tare = bytes.substr(10, 6);
        skip_blanks(tare);
        if (!weight || (!tare.empty() && !parse_digits(tare))) return "format";
        const unsigned a = word(1), b = word(2), c = word(3);
        if ((b & 4) != 0) {
            add_fault(items, FaultCode::overload, "out of range");
            return nullptr;
        }
        if ((b & 0x40) != 0) {
            add_fault(items, FaultCode::not_zeroed, "power-up, not zeroed");
            return nullptr;
        }
        if ((c & 6) != 0) return "unit";
        const bool minus = (b & 2) != 0;
        const auto size = static_cast<std::int64_t>(*weight);
        ParsedDecimal value;
        const int exponent = 2 - static_cast<int>(a & 7);
        value.value = normalised(minus ? -size : size, exponent);
        value.decimals = -exponent;
        value.negative_zero = minus && size == 0;
        Reading& reading = add_reading(items, value, (c & 1) != 0 ? Unit::g : (b & 0x10) != 0 ? Unit::kg : Unit::lb);
        reading.kind = (b & 1) != 0 ? Kind::net : Kind::gross;
        reading.stable = (b & 8) == 0;
        return nullptr;
    }

private:
    bool checksum_;
};

}  // namespace

const Format format_swabc = {
    .id = "swabc",
    .title = "continuous frame with three status words (STX A B C weight tare CR)",
    .measures = Quantity::force,
    .line = {.baud = 9600, .bits = 8, .parity = Parity::none, .stop = 1, .dtr = true, .rts = true},
    .longest_frame = Swabc::frame_size + 1,
    .silence_s = 0.5,
    .lag_s = 0.1,
    .poll = "",
    .poll_every_s = 0,
    .settings = {"checksum"},
    .make = [](const Settings& settings, Start start) -> std::unique_ptr<Decoder> {
        return std::make_unique<Swabc>(Options(format_swabc, settings).flag("checksum", true), start);
    },
};

}  // namespace halfturn
