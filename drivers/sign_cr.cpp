// sign-cr: sign and number, ended by CR, no unit. Opto-coupled calipers and dial indicators.
//
//     +12.345 CR               +|-|blank  digits '.' digits  [<|=|>]        answer to "?" CR, or sent by itself after OUT1
//     ERR0 … ERR3 CR           sensor (too fast, dirt), command, parity, range
//     MM CR | IN CR            answer to UNI?: from now on the unit is known
//     MM RES2 REF1 B1 CR       answer to SET?: unit, resolution, reference, battery (B0 low)
//     BAT0 CR | B0 CR          battery low (the value still stands); BAT1, B1 good
//
// Sources: Opto-RS manual p.12-14, UniCal 300 manual p.65 (echo, SET?), S_Mike PRO manual p.21 (BAT0), Hi_Cal manual p.18.
// Traps: 7 data bits with even parity: read as 8 bits, every other character has bit 7 set (told as line_settings). The sign
// may be a blank, but there always is one: "2.345" is the tail of something. The point always is there too: without it
// the number lost a byte. The instrument may echo the command. The unit is
// not on the wire unless asked for. Opto cables live on the modem lines: DTR high, RTS low (duplex).
// Line: 4800 7E2. Overload: ERR3. Silence: 1 s when asked. Lag 0.05 s. Not faster than one value per 23 ms
// (10 characters of 11 bits at 4800 Bd).
#include "drivers/shared/measuring_errors.hpp"
#include "drivers/shared/options.hpp"
#include "drivers/shared/text_lines.hpp"
#include "drivers/shared/words.hpp"

namespace halfturn {

extern const Format format_sign_cr;

namespace {

class SignCr final : public Lines<SignCr> {
public:
    static constexpr std::size_t longest_line = 48;
    static constexpr bool only_value_varies_in_line = true;

    SignCr(const Options& options, Start start)
        : Lines(start, longest_line), set_unit_(options.unit()), mark_(options.decimal(DecimalMark::point)) {}

    void line(std::string_view text, Items& items) {
        const char first = text.front();
        if (first == '+' || first == '-' || first == ' ') return value(text, items);
        if (const auto code = measuring_error(text)) return add_fault(items, *code, text);
        if (is_echo(text)) return add_info(items, "echo", text);
        if (is_low_battery(text)) return add_fault(items, FaultCode::battery_low, text);
        if (text == "BAT1" || text == "B1") return add_info(items, "battery_good", text);
        if (unit_of_answer(text)) return settings(text, items);
        add_reject(items, "format");
    }

private:
    void value(std::string_view text, Items& items) const {
        const Limit judged = take_limit_sign(text);
        if (text.front() == ' ') text.remove_prefix(1);
        // A blank stands for the sign; behind it a digit must follow.
        if (text.empty() || (!is_digit(text.front()) && (text.size() < 2 || !is_digit(text[1]))))
            return add_reject(items, "format");
        const auto parsed = parse_decimal(text, mark_);
        if (!parsed || parsed->decimals == 0) return add_reject(items, "format");
        Reading& reading = add_reading(items, *parsed, wire_unit_ != Unit::none ? wire_unit_ : set_unit_);
        reading.unit_from_settings = wire_unit_ == Unit::none;
        reading.judged = judged;
    }

    static bool is_low_battery(std::string_view word) { return word == "BAT0" || word == "B0"; }

    static bool unit_of_answer(std::string_view text) {
        const std::string_view first = take_until(text, ' ');
        return first == "MM" || first == "IN";
    }

    void settings(std::string_view text, Items& items) {
        const std::string_view whole = text;
        const Unit unit = take_until(text, ' ') == "MM" ? Unit::mm : Unit::in;
        bool battery_low = false;
        while (!text.empty()) {
            const std::string_view word = take_until(text, ' ');
            if (word.empty() || !is_letter(word.front())) return add_reject(items, "format");
            battery_low = battery_low || is_low_battery(word);
        }
        wire_unit_ = unit;
        items.emplace_back(Info{"unit", std::string(whole), {"unit", std::string(unit_name(unit))}});
        if (battery_low) add_fault(items, FaultCode::battery_low, "B0");
    }

    Unit set_unit_;
    Unit wire_unit_ = Unit::none;
    DecimalMark mark_;
};

}  // namespace

const Format format_sign_cr = {
    .id = "sign-cr",
    .title = "sign and number ended by CR, no unit (opto-coupled calipers)",
    .measures = Quantity::length,
    .line = {.baud = 4800, .bits = 7, .parity = Parity::even, .stop = 2, .dtr = true, .rts = false},
    .longest_frame = SignCr::longest_line,
    .silence_s = 1,
    .lag_s = 0.05,
    .poll = "?\r",
    .poll_every_s = 0.05,
    .settings = {"unit", "decimal"},
    .make = [](const Settings& settings, Start start) -> std::unique_ptr<Decoder> {
        return std::make_unique<SignCr>(Options(format_sign_cr, settings), start);
    },
};

}  // namespace halfturn
