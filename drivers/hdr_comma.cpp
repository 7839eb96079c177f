// hdr-comma: a two-letter header, then sign, figures and unit. Weighing and force indicators.
//
//     ST,GS,+0012.34kg CR LF       header , kind , sign and figures (8 or 9 characters) unit (2 or 3, right-aligned)
//     ST,+0001.234 kg CR LF        without the kind: 9 characters and 3 of unit, or 8 and 2
//     ST,GS,OK,+0012.34kg          with a comparator: LO, OK, HI or -- beside or instead of the kind
//     header  ST stable · US unstable · OL out of range · QT stable count
//     kind    GS gross · NT net · TR tare · PT preset tare
//     OL,+9999999E+19 · OL,GS,+    .   kg · all nines, also under another header      overload
//     I · ?                        busy · unknown command (to Q, RW, READ, Z, T …); ACK and "EC,E01" where error codes are on
//
// Sources: AD-4329A manual p.43, AD-4403 p.8-9, GC p.51, FG p.37, GH-252 p.42, SL-7516 p.16, TI-02-P p.21.
// Traps: an OL frame may carry a plausible number: the header is read first. The mark may be a comma, like the separators.
// Leading zeros may be blanks. Noise before the header must not hide an overload. A field of the wrong width lost a byte.
// Line: 2400 7E1 (balances; assumed from the manual) or 9600 8N1. Overload: OL, blanks, all nines. Silence 1 s. Lag 0.1 s
// (the indicator's filter decides).
#include "drivers/shared/options.hpp"
#include "drivers/shared/text_lines.hpp"
#include "drivers/shared/words.hpp"

namespace halfturn {

extern const Format format_hdr_comma;

namespace {

constexpr char acknowledge = '\x06';

constexpr unsigned two(char a, char b) { return static_cast<unsigned>(static_cast<unsigned char>(a)) << 8 | static_cast<unsigned char>(b); }
unsigned two(std::string_view text) { return two(text[0], text[1]); }

class HdrComma final : public Lines<HdrComma> {
public:
    static constexpr std::size_t longest_line = 40;
    static constexpr bool only_value_varies_in_line = true;

    HdrComma(const Options& options, Start start) : Lines(start, longest_line), mark_(options.decimal(DecimalMark::either)) {}

    void line(std::string_view text, Items& items) {
        const std::string_view whole = text;
        // Line noise before the header: no printable character, so it can't belong to the frame.
        while (!text.empty() && (static_cast<unsigned char>(text.front()) < ' ' || static_cast<unsigned char>(text.front()) > '~') &&
               text.front() != acknowledge)
            text.remove_prefix(1);
        if (text.size() >= 3 && text[2] == ',' && frame(text, items)) return;
        if (answer(text, items)) return;
        if (whole.find("OL,") != std::string_view::npos) return add_fault(items, FaultCode::overload, "OL");
        add_reject(items, "format");
    }

private:
    static bool answer(std::string_view text, Items& items) {
        if (text == "I") add_fault(items, FaultCode::busy, text);
        else if (text == "?") add_fault(items, FaultCode::bad_command, text);
        else if (text.size() == 6 && text.substr(0, 4) == "EC,E" && is_digit(text[4]) && is_digit(text[5]))
            add_fault(items, FaultCode::bad_command, text);
        else if (!text.empty() && text.size() <= 4 && text.find_first_not_of(acknowledge) == std::string_view::npos)
            add_info(items, "ack", "");
        else if (text == "Q" || text == "RW" || text == "READ" || text == "Z" || text == "T" || text == "CT")
            add_info(items, "echo", text);
        else return false;
        return true;
    }

    bool frame(std::string_view text, Items& items) const {
        const unsigned header = two(text);
        if (header == two('O', 'L')) {
            add_fault(items, FaultCode::overload, "OL");
            return true;
        }
        if (header != two('S', 'T') && header != two('U', 'S') && header != two('Q', 'T')) return false;
        text.remove_prefix(3);
        Kind kind = Kind::none;
        Limit judged = Limit::none;
        bool short_form = true;
        for (int field = 0; field < 2 && text.size() > 3 && text[2] == ',' && !is_digit(text[1]); ++field) {
            switch (two(text)) {
                case two('G', 'S'):
                case two('G', ' '): kind = Kind::gross; break;
                case two('N', 'T'):
                case two('N', ' '): kind = Kind::net; break;
                case two('T', 'R'):
                case two('T', ' '):
                case two('P', 'T'): kind = Kind::tare; break;
                case two('L', 'O'): judged = Limit::under; break;
                case two('O', 'K'): judged = Limit::go; break;
                case two('H', 'I'): judged = Limit::over; break;
                case two('-', '-'): break;
                default: return false;
            }
            short_form = false;
            text.remove_prefix(3);
        }
        return value(text, short_form, header != two('U', 'S'), kind, judged, items);
    }

    bool value(std::string_view text, bool short_form, bool stable, Kind kind, Limit judged, Items& items) const {
        if (text.size() < 10 || text.size() > 12 || (short_form && text.size() == 11)) return false;
        if (text[0] != '+' && text[0] != '-') return false;
        // Leading zeros may be blanks: sign, blanks, figures.
        std::string_view figures = text.substr(1);
        skip_blanks(figures);
        std::string_view rest = figures;
        auto parsed = take_decimal(rest, mark_);
        const bool mark_alone = !rest.empty() && ((rest.front() == '.' && mark_ != DecimalMark::comma) ||
                                                  (rest.front() == ',' && mark_ != DecimalMark::point));
        if (!figures.empty() && is_digit(figures.front()) && parsed) {
            if (mark_alone && parsed->decimals == 0 && !parsed->used_comma) rest.remove_prefix(1);  // "000812." has no decimals
            const std::size_t width = text.size() - rest.size();
            if (rest == "E+19" && all_nines(figures.substr(0, figures.size() - rest.size()))) {
                add_fault(items, FaultCode::overload, text);
                return true;
            }
            if ((width != 8 && width != 9) || rest.size() < 2 || rest.size() > 3) return false;
            if (short_form && width + rest.size() != (width == 9 ? 12u : 10u)) return false;
            const auto unit = unit_from_wire(rest);
            if (!unit || rest.back() == ' ') return false;
            if (all_nines(text.substr(1, width - 1))) {
                add_fault(items, FaultCode::overload, text);
                return true;
            }
            if (text[0] == '-') {
                parsed->negative_zero = parsed->value.digits == 0;
                parsed->value.digits = -parsed->value.digits;
            }
            Reading& reading = add_reading(items, *parsed, *unit);
            reading.stable = stable;
            reading.kind = kind;
            reading.judged = judged;
            return true;
        }
        // Blank but for the mark: out of range.
        if (!mark_alone) return false;
        rest.remove_prefix(1);
        skip_blanks(rest);
        if (!unit_from_wire(rest)) return false;
        add_fault(items, FaultCode::overload, "blank");
        return true;
    }

    static bool all_nines(std::string_view figures) {
        for (const char c : figures)
            if (c != '9' && c != '.' && c != ',') return false;
        return true;
    }

    DecimalMark mark_;
};

}  // namespace

const Format format_hdr_comma = {
    .id = "hdr-comma",
    .title = "two-letter header, figures and unit (\"ST,GS,+0012.34kg\")",
    .measures = Quantity::force,
    .line = {.baud = 9600, .bits = 8, .parity = Parity::none, .stop = 1, .dtr = true, .rts = true},
    .longest_frame = HdrComma::longest_line,
    .silence_s = 1,
    .lag_s = 0.1,
    .poll = "",  // most are set to stream; setting poll = "Q\\r\\n" where one is asked
    .poll_every_s = 0.1,
    .settings = {"decimal"},
    .make = [](const Settings& settings, Start start) -> std::unique_ptr<Decoder> {
        return std::make_unique<HdrComma>(Options(format_hdr_comma, settings), start);
    },
};

}  // namespace halfturn
