// json-axis: one small JSON object a line, an axis count and the board's clock, between log lines.
//
//     {"axis0":150,"ts":12345} CR LF        count (count_mm millimetres each, 0.01 unless set) and milliseconds
//     * 12720: no SPC data CR LF            the caliper does not answer; a count of -1048576 means the same
//     … Initialized.                        the board started; between readings: started again
//     anything else                         a log line
//
// Source: MGX3D/EspDRO (inch packets are scaled by 254/200 on the board).
// Traps: the firmware calls the count microns, but it counts 0.01 mm. A clock that goes back means that the board restarted.
// Exactly this shape is read, so a hurt object is not. Other axes ("axis1") carry their number as the channel.
// Line: 115200 8N1. Overload: none. Silence 1 s. Lag 0.15 s.
#include "drivers/shared/board_clock.hpp"
#include "drivers/shared/options.hpp"
#include "drivers/shared/text_lines.hpp"
#include "drivers/shared/words.hpp"

namespace halfturn {

extern const Format format_json_axis;

namespace {

constexpr std::int64_t no_reading_yet = -1048576;
constexpr std::uint64_t longest_gap_ms = 60'000;

bool skip_text(std::string_view& text, std::string_view wanted) {
    if (text.substr(0, wanted.size()) != wanted) return false;
    text.remove_prefix(wanted.size());
    return true;
}

class JsonAxis final : public Lines<JsonAxis> {
public:
    static constexpr std::size_t longest_line = 120;

    JsonAxis(const Options& options, Start start)
        : Lines(start, longest_line), count_mm_(options.positive("count_mm", {1, -2})) {}

    void line(std::string_view text, Items& items) {
        if (text.front() == '*' && text.size() > 12 && text.substr(text.size() - 11) == "no SPC data") {
            std::string_view rest = text.substr(1);
            skip_blanks(rest);
            const std::string_view said = rest;
            if (const auto time = parse_digits(take_until(rest, ':')); time && *time < board_clock_span) follow_clock(*time, items);
            return add_fault(items, FaultCode::no_data, said);
        }
        if (text.front() != '{') {
            // A log line; one that holds figures and braces, or begins with noise, is a hurt object.
            const bool hurt = text.find_first_of("}\"") != std::string_view::npos || begins_with_noise(text);
            if (hurt) return add_reject(items, "format");
            const bool started = text.find("Initialized") != std::string_view::npos;
            if (!started || !running_) return add_info(items, "banner", text);
            running_ = false;
            clock_ = {};
            return add_fault(items, FaultCode::device_restarted, text.substr(0, 40));
        }
        if (!skip_text(text, "{\"axis") || text.size() < 2 || !is_digit(text[0])) return add_reject(items, "format");
        const char axis = text[0];
        text.remove_prefix(1);
        if (!skip_text(text, "\":")) return add_reject(items, "format");
        const bool minus = skip_one(text, '-');
        const auto size = parse_digits(take_until(text, ','));
        if (!size || *size > 0x7FFFFFFF || !skip_text(text, "\"ts\":")) return add_reject(items, "format");
        drop_trailing_blanks(text);
        if (text.empty() || text.back() != '}') return add_reject(items, "format");
        text.remove_suffix(1);
        const auto time = parse_digits(text);
        if (!time || *time >= board_clock_span) return add_reject(items, "format");
        running_ = true;
        follow_clock(*time, items);
        const std::int64_t counts = minus ? -static_cast<std::int64_t>(*size) : static_cast<std::int64_t>(*size);
        if (counts == no_reading_yet) return add_fault(items, FaultCode::no_data, "-1048576");
        ParsedDecimal value;
        value.value = normalised(counts * count_mm_.digits, count_mm_.exponent);
        value.decimals = -count_mm_.exponent;
        Reading& reading = add_reading(items, value, Unit::mm);
        if (axis != '0') reading.channel = ChannelName(std::string_view(&axis, 1));
        reading.clock = DeviceClock::ms;
        reading.device_time = *time;
    }

private:
    void follow_clock(std::uint64_t time, Items& items) {
        if (clock_.restarted(time, longest_gap_ms)) add_fault(items, FaultCode::device_restarted, "clock went back");
    }

    Decimal count_mm_;
    BoardClock clock_;
    bool running_ = false;  // an axis line was seen since the board started
};

}  // namespace

const Format format_json_axis = {
    .id = "json-axis",
    .title = "a JSON object a line with an axis count (\"{\"axis0\":150,\"ts\":12345}\")",
    .measures = Quantity::length,
    .line = {.baud = 115200, .bits = 8, .parity = Parity::none, .stop = 1, .dtr = true, .rts = true},
    .longest_frame = JsonAxis::longest_line,
    .silence_s = 1,
    .lag_s = 0.15,
    .poll = "",
    .poll_every_s = 0,
    .settings = {"count_mm"},
    .make = [](const Settings& settings, Start start) -> std::unique_ptr<Decoder> {
        const Options options(format_json_axis, settings);
        const Decimal count_mm = options.positive("count_mm", {1, -2});
        if (count_mm.digits > 1'000'000) throw options.error("count_mm", "the millimetres of one count, as 0.01");
        return std::make_unique<JsonAxis>(options, start);
    },
};

}  // namespace halfturn
