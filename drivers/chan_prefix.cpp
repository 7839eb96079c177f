// chan-prefix: channel, letter A, sign and figures of an adapter between an indicator and RS-232. No unit.
//
//     01A+000.1234 CR          two digits of channel · A · sign · 8 or 9 characters of figures with the mark
//     911 CR … 919 CR          the adapter's errors (also seen as "91*"); a NUL may stand before
//
// Sources: labauto interface notes (2400 Bd, "91*", NUL before 911), two published logs ("01A-000.0018", "01A+00123.456").
// Traps: a corrupt prefix was seen ("0A1-000.0019"): it must not become channel 0. Asked more than about once a second the
// adapter errs. It lives on the port's power: DTR and RTS stay high, and it needs time to charge. CR and CRLF both occur.
// Line: 2400 or 9600 8N1. Overload: none. Silence 3 s. Lag 0.5 s.
#include "drivers/shared/options.hpp"
#include "drivers/shared/text_lines.hpp"
#include "drivers/shared/words.hpp"

namespace halfturn {

extern const Format format_chan_prefix;

namespace {

class ChanPrefix final : public Lines<ChanPrefix> {
public:
    static constexpr std::size_t longest_line = 32;

    ChanPrefix(const Options& options, Start start)
        : Lines(start, longest_line),
          unit_(options.unit()),
          mark_(options.decimal(DecimalMark::point)),
          prefix_(options.text("prefix").value_or("")) {}

    void line(std::string_view text, Items& items) {
        if (text.size() == 3 && text[0] == '9' && text[1] == '1' && (is_digit(text[2]) || text[2] == '*'))
            return add_fault(items, FaultCode::device_error, text);
        if (text.size() < 12 || text.size() > 13) return add_reject(items, "length");
        if (!is_digit(text[0]) || !is_digit(text[1]) || text[2] != 'A' || (text[3] != '+' && text[3] != '-'))
            return add_reject(items, "format");
        const auto value = parse_decimal(text.substr(3), mark_);
        if (!value || value->decimals == 0) return add_reject(items, "format");
        if (!prefix_.empty() && text.substr(0, prefix_.size()) != prefix_) return add_reject(items, "address");
        add_reading_in_set_unit(items, *value, unit_).channel = ChannelName(text.substr(0, 2));
    }

private:
    Unit unit_;
    DecimalMark mark_;
    std::string prefix_;
};

}  // namespace

const Format format_chan_prefix = {
    .id = "chan-prefix",
    .title = "channel, letter, sign and figures, no unit (\"01A+000.1234\")",
    .measures = Quantity::length,
    .line = {.baud = 9600, .bits = 8, .parity = Parity::none, .stop = 1, .dtr = true, .rts = true},
    .longest_frame = ChanPrefix::longest_line,
    .silence_s = 3,
    .lag_s = 0.5,
    .poll = "",
    .poll_every_s = 1,
    .settings = {"unit", "decimal", "prefix"},
    .make = [](const Settings& settings, Start start) -> std::unique_ptr<Decoder> {
        const Options options(format_chan_prefix, settings);
        if (const auto prefix = options.text("prefix"))
            if (prefix->size() < 2 || prefix->size() > 3 || !is_digit((*prefix)[0]) || !is_digit((*prefix)[1]) ||
                (prefix->size() == 3 && (*prefix)[2] != 'A'))
                throw options.error("prefix", "the channel to accept, as 01 or 01A");
        return std::make_unique<ChanPrefix>(options, start);
    },
};

}  // namespace halfturn
