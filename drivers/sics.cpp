// sics: the standard interface command set of balances and scales, levels 0 and 1.
//
//     S S     100.00 g CR LF   command · status (S stable, D moving) · figures, right-aligned · unit
//     S I | S + | S - | S L    busy · over · under · wrong command      (also Z …, ZI …, T …, TI …; I and L also TA …, TAC …, I0 …)
//     Z A | T S  100.00 g | TA A 100.00 g      done; the number is the tare, not what lies on the pan
//     ES | ET | EL             syntax, transmission, logical error
//     I4 A "1234567"           serial number: the answer to @ or I4, or unasked after power-up
//
// Sources: AL-IC and AT operating instructions, published node tests, KCP summary. Polls: S, SI, SIR (about 15 a second).
// Traps: an unasked I4 means that the device restarted and the zero is lost. Figures in brackets are not verified but belong
// to the value ("123.5[6]"). A line without its unit was cut.
// Line: 9600 8N1. Overload: "S +", underload "S -". Silence 1 s. Lag 0.2 s (the balance's filter).
#include "drivers/shared/options.hpp"
#include "drivers/shared/text_lines.hpp"
#include "drivers/shared/words.hpp"

namespace halfturn {

extern const Format format_sics;

namespace {

class Sics final : public Lines<Sics> {
public:
    static constexpr std::size_t longest_line = 80;
    static constexpr bool only_value_varies_in_line = true;

    explicit Sics(Start start) : Lines(start, longest_line) {}

    void sent(std::string_view bytes, std::size_t) override {
        if (bytes.substr(0, 1) == "@" || bytes.substr(0, 2) == "I4") serial_asked_ = true;
    }

    void line(std::string_view text, Items& items) {
        drop_trailing_blanks(text);
        if (text.empty()) return;
        const std::string_view whole = text;
        if (text == "ES" || text == "EL") return add_fault(items, FaultCode::bad_command, text);
        if (text == "ET") return add_fault(items, FaultCode::comm, text);
        const std::string_view command = take_until(text, ' ');
        if (command == "S" || command == "SI" || command == "SIR") return weight(text, items);
        if (command == "Z" || command == "ZI") return done(text, FaultCode::zero_refused, whole, items);
        if (command == "T" || command == "TI") return done(text, FaultCode::tare_refused, whole, items);
        const bool tells = command.size() == 2 && command[0] == 'I' && is_digit(command[1]);
        if (command == "TA" || command == "TAC" || tells || command == "@") {
            if (text == "I") return add_fault(items, FaultCode::busy, whole);
            if (text == "L") return add_fault(items, FaultCode::bad_command, whole);
        }
        if ((command == "TA" || command == "TAC") && (text == "A" || text.substr(0, 2) == "A "))
            return add_info(items, "ack", whole);
        if (command == "I4") return serial(text, items);
        if (tells && (text.substr(0, 2) == "A " || text.substr(0, 2) == "B "))
            return add_info(items, "idn", whole);
        add_reject(items, "format");
    }

private:
    static void weight(std::string_view text, Items& items) {
        if (text == "I") return add_fault(items, FaultCode::busy, "S I");
        if (text == "+") return add_fault(items, FaultCode::overload, "S +");
        if (text == "-") return add_fault(items, FaultCode::underload, "S -");
        if (text == "L") return add_fault(items, FaultCode::bad_command, "S L");
        if (text.size() < 4 || (text[0] != 'S' && text[0] != 'D') || text[1] != ' ') return add_reject(items, "format");
        const bool stable = text[0] == 'S';
        text.remove_prefix(2);
        skip_blanks(text);
        const std::string_view figures = take_until(text, ' ');
        const auto value = figures.find('[') == std::string_view::npos ? parse_decimal(figures) : with_brackets(figures);
        skip_blanks(text);
        const auto unit = unit_from_wire(text);
        if (!value || !unit) return add_reject(items, "format");
        add_reading(items, *value, *unit).stable = stable;
    }

    static std::optional<ParsedDecimal> with_brackets(std::string_view figures) {
        const std::size_t open = figures.find('[');
        if (figures.back() != ']' || open + 2 >= figures.size()) return {};
        std::string joined(figures.substr(0, open));
        joined += figures.substr(open + 1, figures.size() - open - 2);
        return parse_decimal(joined);
    }

    static void done(std::string_view text, FaultCode refused, std::string_view whole, Items& items) {
        if (text == "+" || text == "-") return add_fault(items, refused, whole);
        if (text == "I") return add_fault(items, FaultCode::busy, whole);
        if (text == "L") return add_fault(items, FaultCode::bad_command, whole);
        if (text == "A" || text == "S" || text == "D" || text.substr(0, 2) == "S " || text.substr(0, 2) == "D ")
            return add_info(items, "ack", whole);
        add_reject(items, "format");
    }

    void serial(std::string_view text, Items& items) {
        if (text.size() < 5 || text.substr(0, 3) != "A \"" || text.back() != '"') return add_reject(items, "format");
        const Remark remark = {"serial", std::string(text.substr(3, text.size() - 4))};
        if (serial_asked_) items.emplace_back(Info{"reset", "", remark});
        else items.emplace_back(Fault{FaultCode::device_restarted, "I4", {}, remark});
        serial_asked_ = false;
    }

    bool serial_asked_ = false;
};

}  // namespace

const Format format_sics = {
    .id = "sics",
    .title = "standard interface command set of balances (\"S S     100.00 g\")",
    .measures = Quantity::force,
    .line = {.baud = 9600, .bits = 8, .parity = Parity::none, .stop = 1, .dtr = true, .rts = true},
    .longest_frame = Sics::longest_line,
    .silence_s = 1,
    .lag_s = 0.2,
    .poll = "SI\r\n",
    .poll_every_s = 0.1,
    .settings = {},
    .make = [](const Settings& settings, Start start) -> std::unique_ptr<Decoder> {
        Options(format_sics, settings);
        return std::make_unique<Sics>(start);
    },
};

}  // namespace halfturn
