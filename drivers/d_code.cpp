// d-code: asked with "D", answers sign, figures and three letters. Force gauges.
//
//     +012.3NTO CR             sign figures · unit: N newton, K kgf, O lbf · T live, P peak · L below, O within, H above, E overload
//     E CR                     unknown command
//
// Source: public decoders of a 44-A gauge (query D).
// Traps: O is a unit in one place and a judgement in another. With E the number is there but may not be used. 256000 Bd is
// not one of the classic rates.
// Line: 256000 8N1. Overload: letter E. Silence 1 s. Lag 0.05 s.
#include "drivers/shared/options.hpp"
#include "drivers/shared/text_lines.hpp"
#include "drivers/shared/words.hpp"

namespace halfturn {

extern const Format format_d_code;

namespace {

class DCode final : public Lines<DCode> {
public:
    static constexpr std::size_t longest_line = 32;
    static constexpr bool only_value_varies_in_line = true;

    DCode(const Options& options, Start start) : Lines(start, longest_line), mark_(options.decimal(DecimalMark::point)) {}

    void line(std::string_view text, Items& items) const {
        if (text == "E") return add_fault(items, FaultCode::bad_command, text);
        if (text == "D") return add_info(items, "echo", text);
        if (text[0] != '+' && text[0] != '-') return add_reject(items, "format");
        const auto value = take_decimal(text, mark_);
        if (!value || text.size() != 3) return add_reject(items, "format");
        const Unit unit = text[0] == 'N' ? Unit::N : text[0] == 'K' ? Unit::kgf : text[0] == 'O' ? Unit::lbf : Unit::none;
        const Kind kind = text[1] == 'T' ? Kind::live : text[1] == 'P' ? Kind::peak : Kind::none;
        if (unit == Unit::none || kind == Kind::none) return add_reject(items, "format");
        Limit judged = Limit::none;
        switch (text[2]) {
            case 'L': judged = Limit::under; break;
            case 'O': judged = Limit::go; break;
            case 'H': judged = Limit::over; break;
            case 'E':
                items.emplace_back(Fault{FaultCode::overload, "E", {}, {"value", to_text(value->value)}});
                return;
            default: return add_reject(items, "format");
        }
        Reading& reading = add_reading(items, *value, unit);
        reading.kind = kind;
        reading.judged = judged;
    }

private:
    DecimalMark mark_;
};

}  // namespace

const Format format_d_code = {
    .id = "d-code",
    .title = "sign, figures and letters for unit, mode and judgement (\"+012.3NTO\")",
    .measures = Quantity::force,
    .line = {.baud = 256000, .bits = 8, .parity = Parity::none, .stop = 1, .dtr = true, .rts = true},
    .longest_frame = DCode::longest_line,
    .silence_s = 1,
    .lag_s = 0.05,
    .poll = "D\r",
    .poll_every_s = 0.02,
    .settings = {"decimal"},
    .make = [](const Settings& settings, Start start) -> std::unique_ptr<Decoder> {
        return std::make_unique<DCode>(Options(format_d_code, settings), start);
    },
};

}  // namespace halfturn
