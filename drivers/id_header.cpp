// id-header: function and number of the indicator, then sign and figures. No unit.
//
//     GN01,+0016.2345 CR LF    answer to GA01 CR LF: GN value · GX largest · GM smallest · GW run-out
//     CH01 CR LF               acknowledgement
//     DH01,F-LOCK CR LF        status
//
// Source: ID-H manual p.4-5 (99MAH016B).
// Traps: sign and nine characters always: another width lost a byte. Several indicators may share a line: the number is the
// channel, and the setting `id` refuses the others.
// Line: 9600 8N1. Overload: none published. Silence 1 s. Lag 0.1 s.
#include "drivers/shared/options.hpp"
#include "drivers/shared/text_lines.hpp"
#include "drivers/shared/words.hpp"

namespace halfturn {

extern const Format format_id_header;

namespace {

constexpr std::size_t value_width = 10;

// The indicator's number in two digits, where one is set.
std::optional<std::string> id_of(const Options& options) {
    const auto id = options.text("id");
    if (!id) return {};
    if (id->size() > 2 || !parse_digits(*id)) throw options.error("id", "the indicator's number, 00 to 99");
    return (id->size() == 1 ? "0" : "") + std::string(*id);
}

class IdHeader final : public Lines<IdHeader> {
public:
    static constexpr std::size_t longest_line = 40;

    IdHeader(const Options& options, Start start)
        : Lines(start, longest_line), unit_(options.unit()), mark_(options.decimal(DecimalMark::point)), id_(id_of(options).value_or("")) {}

    void line(std::string_view text, Items& items) {
        if (text.size() < 4 || !is_digit(text[2]) || !is_digit(text[3])) return add_reject(items, "format");
        const std::string_view header = text.substr(0, 2), id = text.substr(2, 2);
        const std::string_view rest = text.substr(4);
        if (header == "CH" && rest.empty()) return add_info(items, "ack", text);
        if (header == "GA" && rest.empty()) return add_info(items, "echo", text);
        if (header == "DH" && rest.size() > 1 && rest[0] == ',') return add_info(items, "status", rest.substr(1));
        Kind kind = Kind::none;
        if (header == "GX") kind = Kind::peak;
        else if (header == "GM") kind = Kind::minimum;
        else if (header == "GW") kind = Kind::range;
        else if (header != "GN") return add_reject(items, "format");
        if (rest.size() != 1 + value_width) return add_reject(items, "length");
        if (rest[0] != ',' || (rest[1] != '+' && rest[1] != '-')) return add_reject(items, "format");
        const auto value = parse_decimal(rest.substr(1), mark_);
        if (!value || value->decimals == 0) return add_reject(items, "format");
        if (!id_.empty() && id != id_) return add_reject(items, "address");
        Reading& reading = add_reading_in_set_unit(items, *value, unit_);
        reading.channel = ChannelName(id);
        reading.kind = kind;
    }

private:
    Unit unit_;
    DecimalMark mark_;
    std::string id_;
};

}  // namespace

const Format format_id_header = {
    .id = "id-header",
    .title = "function, number, sign and figures, no unit (\"GN01,+0016.2345\")",
    .measures = Quantity::length,
    .line = {.baud = 9600, .bits = 8, .parity = Parity::none, .stop = 1, .dtr = true, .rts = true},
    .longest_frame = IdHeader::longest_line,
    .silence_s = 1,
    .lag_s = 0.1,
    .poll = "GA01\r\n",
    .poll_every_s = 0.1,
    .settings = {"unit", "decimal", "id"},
    .make = [](const Settings& settings, Start start) -> std::unique_ptr<Decoder> {
        return std::make_unique<IdHeader>(Options(format_id_header, settings), start);
    },
    .request = [](const Settings& settings) {
        return "GA" + id_of(Options(format_id_header, settings)).value_or("01") + "\r\n";
    },
};

}  // namespace halfturn
