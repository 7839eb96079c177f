// value-unit: a number and its unit, one line each. Small boards behind calipers and several indicators print it.
//
//     -12.34 mm CR LF          [blanks] [+|-] digits [mark digits] [blanks] mm|in|inch|inches|um [blanks] [<|=|>]
//     0.0390 inches CR LF
//     0.123mm CR LF            answer to "?" CR
//     1 +12.34 mm <;2 +0.05 mm =;3 ERR6 CR     several features: digit, blank, sign (may be a blank), value; joined by ';'
//     ERR0 … ERR3              sensor, command, parity, range; ERR6: this feature is switched off
//     MM | IN | UM             answer to UNI?; the value lines say their unit themselves
//
// Sources: dave-herbert/DialIndicator and 2ariel22/Caliper (lines), C1208 manual p.69 ("?", units mm, in, um), C1202 manual
// p.82 (features, ERR6, limits).
// Traps: the tail of "12.34 mm" reads "2.34 mm", so a port opened in mid-line drops everything before the first line end. The
// unit key changes the unit in the middle of a run: each reading carries the unit of its own line. A number without a unit is
// refused. No checksum.
// Line: 9600 8N1 (boards also 115200). Overload: none on the wire; ERR3 is out of range. Silence: normal, some boards print
// on change only. Lag: one reading period of the caliper, 0.1 s.
#include "drivers/shared/measuring_errors.hpp"
#include "drivers/shared/options.hpp"
#include "drivers/shared/text_lines.hpp"
#include "drivers/shared/words.hpp"

namespace halfturn {

extern const Format format_value_unit;

namespace {

class ValueUnit final : public Lines<ValueUnit> {
public:
    static constexpr std::size_t longest_line = 80;
    static constexpr bool only_value_varies_in_line = true;

    ValueUnit(const Options& options, Start start) : Lines(start, longest_line), mark_(options.decimal(DecimalMark::point)) {}

    void line(std::string_view text, Items& items) {
        if (plain(text, items)) return;
        if (is_echo(text)) return add_info(items, "echo", text);
        const std::size_t before = items.size();
        bool several = false;
        while (!text.empty()) {
            const std::string_view part = take_until(text, ';');
            several = several || !text.empty();
            if (!feature(part, several, items)) {
                items.resize(before);  // one bad feature spoils the line: the others may be shifted
                return add_reject(items, "format");
            }
        }
    }

private:
    // One value and its unit, as nearly every line is: quick, and nothing that has to be told apart from anything else.
    bool plain(std::string_view text, Items& items) const {
        skip_blanks(text);
        const auto value = take_decimal(text, mark_);
        if (!value) return false;
        const auto unit = length_unit(text);
        if (unit) add_reading(items, *value, *unit);
        return unit.has_value();
    }

    static std::optional<Unit> length_unit(std::string_view text) {
        const auto unit = unit_from_wire(text);
        return unit && quantity_of(*unit) == Quantity::length ? unit : std::nullopt;
    }

    bool feature(std::string_view text, bool several, Items& items) const {
        skip_blanks(text);
        ChannelName channel;
        const bool blank_sign = text.size() > 4 && text[2] == ' ' && is_digit(text[3]);
        if (text.size() > 3 && is_digit(text[0]) && text[1] == ' ' && (text[2] == '+' || text[2] == '-' || text[2] == 'E' || blank_sign)) {
            channel = ChannelName(text.substr(0, 1));
            text.remove_prefix(blank_sign ? 3 : 2);
        } else if (several) {
            return false;
        }
        if (text == "ERR6") {
            add_info(items, "feature_off", text);
            return true;
        }
        if (const auto code = measuring_error(text)) {
            add_fault(items, *code, text, channel);
            return true;
        }
        const auto value = take_decimal(text, mark_);
        if (!value) {
            if (text != "MM" && text != "IN" && text != "UM") return false;
            add_info(items, "unit", text);
            return true;
        }
        skip_blanks(text);
        drop_trailing_blanks(text);
        const Limit judged = take_limit_sign(text);
        const auto unit = length_unit(text);
        if (!unit) return false;
        Reading& reading = add_reading(items, *value, *unit);
        reading.channel = channel;
        reading.judged = judged;
        return true;
    }

    DecimalMark mark_;
};

}  // namespace

const Format format_value_unit = {
    .id = "value-unit",
    .title = "a number and its unit, one line each (\"12.34 mm\")",
    .measures = Quantity::length,
    .line = {.baud = 9600, .bits = 8, .parity = Parity::none, .stop = 1, .dtr = true, .rts = true},
    .longest_frame = ValueUnit::longest_line,
    .silence_s = 0,
    .lag_s = 0.1,
    .poll = "",
    .poll_every_s = 0,
    .settings = {"decimal"},
    .make = [](const Settings& settings, Start start) -> std::unique_ptr<Decoder> {
        return std::make_unique<ValueUnit>(Options(format_value_unit, settings), start);
    },
};

}  // namespace halfturn
