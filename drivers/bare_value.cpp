// bare-value: a number with a decimal point on a line of its own, no unit. A small bridge that prints what it read.
//
//     12.345000 LF             [-] digits '.' digits; any byte sent asks for the next
//     # Error reading from instrument: -1 LF
//
// Source: apirek/digimatic ("%f\n", errors begin with #).
// Traps: no unit, no frame, no checksum: only the point is sure to be there, so a line without one was cut. "nan" and
// exponents are refused. A NUL before the first line was seen.
// Line: 115200 8N1 (a virtual port). Overload: none. Silence 2 s (the instrument may take a second). Lag 0.1 s.
#include "drivers/shared/options.hpp"
#include "drivers/shared/text_lines.hpp"
#include "drivers/shared/words.hpp"

namespace halfturn {

extern const Format format_bare_value;

namespace {

class BareValue final : public Lines<BareValue> {
public:
    static constexpr std::size_t longest_line = 80;
    static constexpr bool only_value_varies_in_line = true;

    BareValue(const Options& options, Start start)
        : Lines(start, longest_line), unit_(options.unit()), mark_(options.decimal(DecimalMark::point)) {}

    void line(std::string_view text, Items& items) {
        if (text.front() == '#') {
            const std::size_t colon = text.rfind(": ");
            return add_fault(items, FaultCode::no_data, colon == std::string_view::npos ? text : text.substr(colon + 2));
        }
        const auto value = parse_decimal(text, mark_);
        if (!value || value->decimals == 0 || text.front() == '+') return add_reject(items, "format");
        add_reading_in_set_unit(items, *value, unit_);
    }

private:
    Unit unit_;
    DecimalMark mark_;
};

}  // namespace

const Format format_bare_value = {
    .id = "bare-value",
    .title = "a number with a point on a line of its own, no unit (\"12.345000\")",
    .measures = Quantity::length,
    .line = {.baud = 115200, .bits = 8, .parity = Parity::none, .stop = 1, .dtr = true, .rts = true},
    .longest_frame = BareValue::longest_line,
    .silence_s = 2,
    .lag_s = 0.1,
    .poll = "\n",
    .poll_every_s = 0.1,
    .settings = {"unit", "decimal"},
    .make = [](const Settings& settings, Start start) -> std::unique_ptr<Decoder> {
        return std::make_unique<BareValue>(Options(format_bare_value, settings), start);
    },
};

}  // namespace halfturn
