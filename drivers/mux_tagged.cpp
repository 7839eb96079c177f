// mux-tagged: lines of a multiplexer, each with the number of its channel.
//
//     1 MW+003.4665 inch CR LF         channel · MW measured · [blank] sign and 8 figures · unit      polls: 1 … 8, A all
//     3 TO 999999.99 mm CR LF          TO: the instrument did not answer; the number beside it is none
//     V2: mm       -00001.250000 CR LF channel · unit (may be blank) · value; a blank sign keeps its place
//     N12:E1 CR LF                     E1 no connection · E3 no reading
//
// Sources: Adept KB 68CE "MUX 2 & 4 protocol", Mux4/Mux8 manual p.6-7.
// Traps: the published examples disagree about the blank after MW: both are read. 999999.99 with TO is a time-out, not a
// length. Powered from the port: DTR and RTS high.
// Line: 9600 8N1 or a virtual port. Overload: none. Silence 1 s. Lag 0.1 s.
#include "drivers/shared/options.hpp"
#include "drivers/shared/text_lines.hpp"
#include "drivers/shared/words.hpp"

namespace halfturn {

extern const Format format_mux_tagged;

namespace {

class MuxTagged final : public Lines<MuxTagged> {
public:
    static constexpr std::size_t longest_line = 48;
    static constexpr std::size_t labelled_length = 26;

    MuxTagged(const Options& options, Start start)
        : Lines(start, longest_line), unit_(options.unit()), mark_(options.decimal(DecimalMark::point)) {}

    void line(std::string_view text, Items& items) {
        bool good = false;
        if (text.size() >= 4 && is_channel(text[0]) && text[1] == ' ') good = tagged(text, items);
        else if (text.size() > 4 && text[0] == 'V' && is_channel(text[1]) && text[2] == ':') good = labelled(text, items);
        else if (text.size() >= 4 && text[0] == 'N') good = error(text, items);
        if (!good) add_reject(items, "format");
    }

private:
    static bool is_channel(char c) { return c >= '1' && c <= '8'; }

    bool tagged(std::string_view text, Items& items) const {
        const ChannelName channel(text.substr(0, 1));
        const std::string_view tag = text.substr(2, 2);
        text.remove_prefix(4);
        if (tag == "TO") {
            add_fault(items, FaultCode::sensor, tag, channel);
            return true;
        }
        if (tag != "MW") return false;
        skip_one(text, ' ');
        const std::size_t before = text.size();
        const bool has_sign = !text.empty() && (text.front() == '+' || text.front() == '-');
        const auto value = take_decimal(text, mark_);
        if (!has_sign || !value || before - text.size() != 9 || !skip_one(text, ' ')) return false;
        const auto unit = unit_from_wire(text);
        if (!unit || quantity_of(*unit) != Quantity::length) return false;
        add_reading(items, *value, *unit).channel = channel;
        return true;
    }

    bool labelled(std::string_view text, Items& items) const {
        const std::size_t whole = text.size();
        const ChannelName channel(text.substr(1, 1));
        text.remove_prefix(3);
        if (!skip_one(text, ' ')) return false;
        skip_blanks(text);
        Unit unit = unit_;
        const bool on_wire = !text.empty() && is_letter(text.front());
        if (on_wire) {
            const auto named = unit_from_wire(take_until(text, ' '));
            if (!named || quantity_of(*named) != Quantity::length) return false;
            unit = *named;
            skip_blanks(text);
        }
        drop_trailing_blanks(text);
        const auto value = parse_decimal(text, mark_);
        if (!value || value->decimals == 0) return false;
        // Shorter and without a sign, the sign was lost.
        if (is_digit(text.front()) && whole < labelled_length) return false;
        Reading& reading = add_reading(items, *value, unit);
        reading.unit_from_settings = !on_wire;
        reading.channel = channel;
        return true;
    }

    // "N12:E1": the last digit before the colon is the channel.
    static bool error(std::string_view text, Items& items) {
        text.remove_prefix(1);
        std::string_view place = take_until(text, ':');
        if (place.empty() || place.size() > 2 || !parse_digits(place) || text.size() != 2 || text[0] != 'E' || !is_digit(text[1]))
            return false;
        const FaultCode code = text[1] == '1' ? FaultCode::comm : text[1] == '3' ? FaultCode::no_data : FaultCode::device_error;
        add_fault(items, code, text, ChannelName(place.substr(place.size() - 1)));
        return true;
    }

    Unit unit_;
    DecimalMark mark_;
};

}  // namespace

const Format format_mux_tagged = {
    .id = "mux-tagged",
    .title = "multiplexer lines with their channel (\"2 MW-00088.29 mm\", \"V2: mm -00001.25\")",
    .measures = Quantity::length,
    .line = {.baud = 9600, .bits = 8, .parity = Parity::none, .stop = 1, .dtr = true, .rts = true},
    .longest_frame = MuxTagged::longest_line,
    .silence_s = 1,
    .lag_s = 0.1,
    .poll = "A",
    .poll_every_s = 0.2,
    .settings = {"unit", "decimal"},
    .make = [](const Settings& settings, Start start) -> std::unique_ptr<Decoder> {
        return std::make_unique<MuxTagged>(Options(format_mux_tagged, settings), start);
    },
};

}  // namespace halfturn
