// value-text: a plain number on a line of its own, whole or with decimals. Home-made turn counters and angle encoders.
//
//     1600 CR LF               [blanks] [+|-] digits [mark digits] [blanks]
//     # anything               a remark
//
// Source: the form most sketches for microcontrollers print (Serial.println of a count).
// Traps: nothing tells a cut line from a whole one but its ends; use a better format where the instrument has one. Lines that
// are no number before the first number are a banner; later ones mean that the board started again. The unit is a setting:
// counts, turns, deg, or any other.
// Line: 115200 8N1. Overload: none. Silence 1 s. Lag 0.02 s.
#include "drivers/shared/options.hpp"
#include "drivers/shared/text_lines.hpp"
#include "drivers/shared/words.hpp"

namespace halfturn {

extern const Format format_value_text;

namespace {

class ValueText final : public Lines<ValueText> {
public:
    static constexpr std::size_t longest_line = 80;
    static constexpr bool only_value_varies_in_line = true;

    ValueText(const Options& options, Start start)
        : Lines(start, longest_line), unit_(options.unit()), mark_(options.decimal(DecimalMark::point)) {}

    void line(std::string_view text, Items& items) {
        if (text.front() == '#') return add_info(items, "remark", text);
        std::string_view number = text;
        skip_blanks(number);
        drop_trailing_blanks(number);
        if (const auto value = parse_decimal(number, mark_)) {
            running_ = true;
            add_reading_in_set_unit(items, *value, unit_);
            return;
        }
        const bool words = text.size() >= 2 && is_letter(text[0]) && is_letter(text[1]);
        if (!words) return add_reject(items, "format");
        if (running_) add_fault(items, FaultCode::device_restarted, text.substr(0, 40));
        else add_info(items, "banner", text);
        running_ = false;
    }

private:
    Unit unit_;
    DecimalMark mark_;
    bool running_ = false;
};

}  // namespace

const Format format_value_text = {
    .id = "value-text",
    .title = "a plain number a line, for turns, angles or counts (\"1600\")",
    .measures = Quantity::counts,
    .line = {.baud = 115200, .bits = 8, .parity = Parity::none, .stop = 1, .dtr = true, .rts = true},
    .longest_frame = ValueText::longest_line,
    .silence_s = 1,
    .lag_s = 0.02,
    .poll = "",
    .poll_every_s = 0,
    .settings = {"unit", "decimal", "counts_per_turn"},
    .make = [](const Settings& settings, Start start) -> std::unique_ptr<Decoder> {
        const Options options(format_value_text, settings);
        options.positive("counts_per_turn", {1, 0});
        return std::make_unique<ValueText>(options, start);
    },
};

}  // namespace halfturn
