// eq-reversed: an equals sign and eight characters, in one of two orders. Weighing indicators.
//
//     =00.1000-                digit_order = low_first: figures from the right, the sign (or the eighth figure) last: -1.00
//     =-0001.00                digit_order = high_first: as one reads it: -1.00
//
// Sources: XK3190-A23p p.21, -A26 p.10-12 (formats 1 and 2).
// Traps: "=0003.000" is 3.000 in one order and 0.3 in the other: the order is a setting and is never guessed. No terminator: a
// frame counts only when the next "=" or a line end follows its eighth character, since an added byte would push the sign
// out. So a reading comes when the next frame begins. No unit, no check.
// Line: 1200 to 9600 8N1. Overload: none on the wire. Silence 0.5 s. Lag 0.2 s (one frame more than the indicator's own).
#include <algorithm>
#include <array>

#include "drivers/shared/options.hpp"
#include "drivers/shared/words.hpp"

namespace halfturn {

extern const Format format_eq_reversed;

namespace {

constexpr std::size_t figures_size = 8;

class EqReversed final : public Decoder {
public:
    EqReversed(const Options& options, Start start)
        : unit_(options.unit()),
          mark_(options.decimal(DecimalMark::point)),
          low_first_(options.choice("digit_order", {"low_first", "high_first"}, 0) == 0),
          presync_(start == Start::mid_line) {}

    std::unique_ptr<Decoder> clone() const override { return std::make_unique<EqReversed>(*this); }

    std::size_t take(std::string_view head, bool ended, Items& items) override {
        if (head.front() != '=') {
            const bool line_end = head.front() == '\r' || head.front() == '\n';
            if (!line_end && !in_rubbish_) {
                add_reject(items, presync_ ? "presync" : "format");
                in_rubbish_ = true;
            }
            return 1;
        }
        const std::size_t next = std::min(head.substr(0, figures_size + 2).find_first_of("=\r\n", 1), head.size());
        const bool followed = next < head.size();
        if (!followed && !ended && head.size() <= figures_size + 1) return 0;
        in_rubbish_ = presync_ = false;
        if (next == figures_size + 1 && (followed || ended)) {
            if (frame(head.substr(1, figures_size), items)) return figures_size + 1;
            add_reject(items, "format");
        } else {
            // At the end of the bytes "=" alone is the begin of what did not come.
            if (followed || head.size() > 1) add_reject(items, "length");
            in_rubbish_ = !followed;
        }
        return followed ? next : std::min(head.size(), figures_size + 2);
    }

private:
    bool frame(std::string_view text, Items& items) const {
        std::array<char, figures_size> ordered{};
        if (low_first_) std::reverse_copy(text.begin(), text.end(), ordered.begin());
        else std::copy(text.begin(), text.end(), ordered.begin());
        if (ordered[0] == '+') return false;
        const auto value = parse_decimal({ordered.data(), ordered.size()}, mark_);
        if (!value || value->decimals == 0) return false;
        add_reading_in_set_unit(items, *value, unit_);
        return true;
    }

    Unit unit_;
    DecimalMark mark_;
    bool low_first_, presync_;
    bool in_rubbish_ = false;
};

}  // namespace

const Format format_eq_reversed = {
    .id = "eq-reversed",
    .title = "equals sign and eight characters, low figure first or last (\"=00.1000-\")",
    .measures = Quantity::force,
    .line = {.baud = 9600, .bits = 8, .parity = Parity::none, .stop = 1, .dtr = true, .rts = true},
    .longest_frame = figures_size + 2,
    .silence_s = 0.5,
    .lag_s = 0.2,
    .poll = "",
    .poll_every_s = 0,
    .settings = {"unit", "decimal", "digit_order"},
    .make = [](const Settings& settings, Start start) -> std::unique_ptr<Decoder> {
        const Options options(format_eq_reversed, settings);
        if (!options.text("digit_order"))
            throw options.error("digit_order", "low_first or high_first: put a known weight on, and see which reads it right");
        return std::make_unique<EqReversed>(options, start);
    },
};

}  // namespace halfturn
