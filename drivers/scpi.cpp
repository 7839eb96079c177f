// scpi: answers of instruments that speak SCPI and IEEE 488.2 over a serial line.
//
//     42 | -0.005 | +1.23456E+01 LF        NR1, NR2, NR3; the end may be LF, CR or CRLF
//     +9.9E37 | -9.9E37 | 9.91E37          overload | underload | not a number
//     -113,"Undefined header"              error queue: -1xx command, -4xx transfer, 0 none, others the instrument's
//     VENDOR,MODEL 1,SN123,1.02            answer to *IDN?
//
// Sources: IEEE 488.2 response numbers and SCPI-99 special values as in the 53131A guide table 3-3, 54620A guide p.57; SCPI-99
// error numbers. Polls: MEAS? (setting poll for another), SYST:ERR?
// Traps: 9.9E37 is a mark, not a force. Some instruments echo the query, some send XON; it and XOFF may stand anywhere.
// *RST changes units and ranges: never.
// Line: 9600 8N1. Overload: 9.9E37. Silence 2 s. Lag 0.1 s.
#include "drivers/shared/options.hpp"
#include "drivers/shared/scientific.hpp"
#include "drivers/shared/text_lines.hpp"
#include "drivers/shared/words.hpp"

namespace halfturn {

extern const Format format_scpi;

namespace {

constexpr Decimal infinity = {99, 36}, not_a_number = {991, 35};
constexpr std::string_view flow_marks = "\x11\x13";  // XON, XOFF

class Scpi final : public Lines<Scpi> {
public:
    static constexpr std::size_t longest_line = 256;
    static constexpr bool only_value_varies_in_line = true;

    Scpi(Unit unit, Start start) : Lines(start, longest_line), unit_(unit) {}

    void line(std::string_view text, Items& items) {
        if (text.find_first_of(flow_marks) == std::string_view::npos) return answer(text, items);
        std::string said(text);
        std::erase_if(said, [](char c) { return flow_marks.find(c) != std::string_view::npos; });
        answer(said, items);
    }

private:
    void answer(std::string_view text, Items& items) const {
        skip_blanks(text);
        drop_trailing_blanks(text);
        if (text.empty()) return;
        if (const auto value = parse_scientific(text)) return number(*value, text, items);
        if (is_special(text)) return add_fault(items, FaultCode::not_a_number, text);
        if (error(text, items)) return;
        if (text.back() == '?') return add_info(items, "echo", text);
        std::size_t commas = 0;
        for (const char c : text) commas += c == ',' ? 1 : 0;
        if (commas == 3 && is_letter(text.front())) return add_info(items, "idn", text);
        add_reject(items, "format");
    }

    void number(const ParsedDecimal& value, std::string_view text, Items& items) const {
        Decimal size = value.value;
        const bool minus = size.digits < 0;
        if (minus) size.digits = -size.digits;
        if (size == infinity) return add_fault(items, minus ? FaultCode::underload : FaultCode::overload, text);
        if (size == not_a_number) return add_fault(items, FaultCode::not_a_number, text);
        add_reading_in_set_unit(items, value, unit_);
    }

    static bool is_special(std::string_view text) {
        if (text.front() == '+' || text.front() == '-') text.remove_prefix(1);
        return text == "NAN" || text == "NaN" || text == "nan" || text == "INF" || text == "Inf" || text == "inf" ||
               text == "INFINITY" || text == "NINF";
    }

    static bool error(std::string_view text, Items& items) {
        const bool minus = text.front() == '-';
        if (minus || text.front() == '+') text.remove_prefix(1);
        const std::string_view digits = take_until(text, ',');
        const auto code = parse_digits(digits);
        if (!code || *code > 32768 || text.size() < 2 || text.front() != '"' || text.back() != '"') return false;
        if (*code == 0) {
            add_info(items, "no_error", "");
            return true;
        }
        const std::string detail = (minus ? "-" : "") + std::string(digits);
        const bool command = minus && *code / 100 == 1, transfer = minus && *code / 100 == 4;
        add_fault(items, command ? FaultCode::bad_command : transfer ? FaultCode::comm : FaultCode::device_error, detail);
        return true;
    }

    Unit unit_;
};

}  // namespace

const Format format_scpi = {
    .id = "scpi",
    .title = "SCPI instruments: numbers, special values and error queue",
    .measures = Quantity::force,
    .line = {.baud = 9600, .bits = 8, .parity = Parity::none, .stop = 1, .dtr = true, .rts = true},
    .longest_frame = Scpi::longest_line,
    .silence_s = 2,
    .lag_s = 0.1,
    .poll = "MEAS?\n",
    .poll_every_s = 0.1,
    .settings = {"unit"},
    .make = [](const Settings& settings, Start start) -> std::unique_ptr<Decoder> {
        return std::make_unique<Scpi>(Options(format_scpi, settings).unit(), start);
    },
};

}  // namespace halfturn
