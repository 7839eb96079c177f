// sync24-bits: the 24-bit frame of a clock-and-data caliper, printed bit by bit as a microcontroller saw it.
//
//     0,1,1,0,  1,0,0,1,  … CR LF      24 bits in the order they came, least significant first, each with its comma
//     layout = plain        bits 0-19 size · 20 sign (1 minus) · 21-22 unused · 23 inch;  mm: / 100, inch: / 2000
//     layout = start_bit    bit 0 always 1 · 1-20 size · 21 sign · 22-23 unused; the unit is a setting (mm unless set)
//
// Sources: dave-herbert/DialIndicator and 2ariel22/Caliper (plain), bcrist/caliplier (start bit), UAD-Arduino (the line).
// Traps: no checksum; a lost bit is a wrong value, so exactly 24 are required. The wrong layout reads double plus one count:
// a bit 0 that is 1 in every frame is told as a hint. The sources pass over the unused bits, and none shows one that is set; a
// frame where one is set is refused: with layout = plain, bit 21 is the minus of the other layout, and so may be what a lost
// or added bit has moved there. Some models change the number with the unit key and have no unit bit.
// Line: 9600 8N1. Overload: none. Silence 1 s (every 110 to 210 ms). Lag 0.15 s.
#include "drivers/shared/options.hpp"
#include "drivers/shared/text_lines.hpp"
#include "drivers/shared/words.hpp"

namespace halfturn {

extern const Format format_sync24_bits;

namespace {

constexpr int bits_in_frame = 24;
constexpr int frames_for_hint = 20;

class Sync24Bits final : public Lines<Sync24Bits> {
public:
    static constexpr std::size_t longest_line = 96;

    Sync24Bits(const Options& options, Start start)
        : Lines(start, longest_line), start_bit_(options.choice("layout", {"plain", "start_bit"}, 0) == 1), unit_(options.unit()) {}

    void line(std::string_view text, Items& items) {
        drop_trailing_blanks(text);
        if (text.empty()) return;
        std::uint32_t bits = 0;
        int count = 0;
        while (!text.empty()) {
            skip_blanks(text);
            const bool one = skip_one(text, '1');
            if ((!one && !skip_one(text, '0')) || !skip_one(text, ',')) return add_reject(items, "format");
            if (count == bits_in_frame) return add_reject(items, "length");
            bits |= (one ? std::uint32_t{1} : 0u) << count++;
        }
        if (count != bits_in_frame) return add_reject(items, "length");
        const bool hint = note_first_bit((bits & 1) != 0);
        if (start_bit_) with_start_bit(bits, items);
        else plain(bits, items);
        if (hint) add_info(items, "hint", "bit 0 is 1 in every frame: layout = start_bit may be the right setting");
    }

private:
    bool note_first_bit(bool one) {
        ones_in_row_ = one ? ones_in_row_ + 1 : 0;
        return !start_bit_ && ones_in_row_ == frames_for_hint;
    }

    static void emit(std::uint32_t size, bool minus, bool inch, bool from_settings, Items& items) {
        ParsedDecimal value;
        value.decimals = inch ? 4 : 2;
        const auto counts = static_cast<std::int64_t>(size) * (inch ? 5 : 1);  // 1/2000 inch = 5 x 10^-4
        value.value = normalised(minus ? -counts : counts, -value.decimals);
        value.negative_zero = minus && size == 0;
        add_reading(items, value, inch ? Unit::in : Unit::mm).unit_from_settings = from_settings;
    }

    static void plain(std::uint32_t bits, Items& items) {
        if ((bits >> 21 & 3) != 0) return add_reject(items, "format");
        emit(bits & 0xFFFFF, (bits >> 20 & 1) != 0, (bits >> 23 & 1) != 0, false, items);
    }

    void with_start_bit(std::uint32_t bits, Items& items) const {
        if ((bits & 1) == 0 || bits >> 22 != 0) return add_reject(items, "format");
        emit(bits >> 1 & 0xFFFFF, (bits >> 21 & 1) != 0, unit_ == Unit::in, true, items);
    }

    bool start_bit_;
    Unit unit_;
    int ones_in_row_ = 0;
};

}  // namespace

const Format format_sync24_bits = {
    .id = "sync24-bits",
    .title = "24-bit caliper frame printed bit by bit (\"0,1,1,0,  1,0,0,1, …\")",
    .measures = Quantity::length,
    .line = {.baud = 9600, .bits = 8, .parity = Parity::none, .stop = 1, .dtr = true, .rts = true},
    .longest_frame = Sync24Bits::longest_line,
    .silence_s = 1,
    .lag_s = 0.15,
    .poll = "",
    .poll_every_s = 0,
    .settings = {"layout", "unit"},
    .make = [](const Settings& settings, Start start) -> std::unique_ptr<Decoder> {
        const Options options(format_sync24_bits, settings);
        const Unit unit = options.unit();
        if (unit != Unit::none && unit != Unit::mm && unit != Unit::in) throw options.error("unit", "mm or in");
        return std::make_unique<Sync24Bits>(options, start);
    },
};

}  // namespace halfturn
