// ask-unit: asked with "?", answers a number and a force unit. Force gauges.
//
//     -18.78 lbF CR LF         [-] figures blank unit (lbF, ozF, kgF, gF, N, kN); the unit may be switched off
//     *10 CR LF                *10 illegal command, other *nn: the gauge's error number
//     OVER or dashes           overload
//
// Sources: Series 4 gauge guide p.16, Series 5 p.17 (?C live, ?PT and ?PC peaks), 1ramihamada/read-force (115200).
// Traps: the sign's meaning differs between makers (here minus is tension): the setting compression_sign says it for the
// record, the value stays as printed. With the unit off, the setting `unit` must say it.
// Line: 115200 8N1. Overload: OVER or dashes. Silence 1 s. Lag 0.1 s.
#include "drivers/shared/measuring_errors.hpp"
#include "drivers/shared/options.hpp"
#include "drivers/shared/text_lines.hpp"
#include "drivers/shared/words.hpp"

namespace halfturn {

extern const Format format_ask_unit;

namespace {

class AskUnit final : public Lines<AskUnit> {
public:
    static constexpr std::size_t longest_line = 40;
    static constexpr bool only_value_varies_in_line = true;

    AskUnit(const Options& options, Start start)
        : Lines(start, longest_line), unit_(options.unit()), mark_(options.decimal(DecimalMark::point)) {}

    void line(std::string_view text, Items& items) {
        skip_blanks(text);
        drop_trailing_blanks(text);
        if (text.empty()) return;
        if (text.front() == '?' || is_echo(text)) return add_info(items, "echo", text);
        if (text.front() == '*') {
            if (text.size() != 3 || !is_digit(text[1]) || !is_digit(text[2])) return add_reject(items, "format");
            return add_fault(items, text == "*10" ? FaultCode::bad_command : FaultCode::device_error, text);
        }
        if (text.substr(0, 4) == "OVER" || text.substr(0, 2) == "--") return add_fault(items, FaultCode::overload, text);
        const auto value = take_decimal(text, mark_);
        if (!value) return add_reject(items, "format");
        if (text.empty()) {
            if (unit_ == Unit::none) return add_reject(items, "unit");
            add_reading_in_set_unit(items, *value, unit_);
            return;
        }
        const auto unit = unit_from_wire(text);
        if (text.front() != ' ' || !unit || quantity_of(*unit) != Quantity::force) return add_reject(items, "format");
        add_reading(items, *value, *unit);
    }

private:
    Unit unit_;
    DecimalMark mark_;
};

}  // namespace

const Format format_ask_unit = {
    .id = "ask-unit",
    .title = "a number and a force unit, on request (\"-18.78 lbF\")",
    .measures = Quantity::force,
    .line = {.baud = 115200, .bits = 8, .parity = Parity::none, .stop = 1, .dtr = true, .rts = true},
    .longest_frame = AskUnit::longest_line,
    .silence_s = 1,
    .lag_s = 0.1,
    .poll = "?\r",
    .poll_every_s = 0.05,
    .settings = {"unit", "decimal", "compression_sign"},
    .make = [](const Settings& settings, Start start) -> std::unique_ptr<Decoder> {
        const Options options(format_ask_unit, settings);
        options.compression_sign();
        return std::make_unique<AskUnit>(options, start);
    },
};

}  // namespace halfturn
