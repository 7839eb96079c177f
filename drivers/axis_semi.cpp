// axis-semi: axis letter and signed count, ended by a semicolon, no line ends. Readout boards for several scales and a
// tachometer.
//
//     X1234;Y-56;T120;P0;      X Y Z W: counts · T: rpm, or T<time>/<pulses> · P: probe
//
// Source: stephenhouser/Arduino-DRO 6.0.
// Traps: no checksum and no fixed width, so a lost figure is not seen: verify with the index each turn. The firmware smooths
// over 24 samples by default (switch that off). Turning back must count down.
// Line: 9600 8N1, 24 values a second. Overload: none. Silence 1 s. Lag 0.5 s with the default smoothing.
#include "drivers/shared/options.hpp"
#include "drivers/shared/words.hpp"

namespace halfturn {

extern const Format format_axis_semi;

namespace {

constexpr std::size_t longest_token = 24;

class AxisSemi final : public Decoder {
public:
    explicit AxisSemi(Start start) : skipping_(start == Start::mid_line), presync_(skipping_) {}

    std::unique_ptr<Decoder> clone() const override { return std::make_unique<AxisSemi>(*this); }

    std::size_t take(std::string_view head, bool ended, Items& items) override {
        const std::string_view visible = head.substr(0, longest_token);
        const std::size_t end = visible.find(';');
        if (end == std::string_view::npos) {
            if (visible.size() < longest_token) {
                if (!ended) return 0;
                // Line ends after the last token are not a token that was cut off.
                if (visible.find_first_not_of("\r\n") != std::string_view::npos) add_reject(items, "length");
                return head.size();
            }
            if (!skipping_) add_reject(items, "length");
            skipping_ = true;
            return longest_token;
        }
        if (skipping_) {
            if (presync_ && end > 0) add_reject(items, "presync");
            skipping_ = presync_ = false;
        } else {
            token(visible.substr(0, end), items);
        }
        return end + 1;
    }

private:
    static void token(std::string_view text, Items& items) {
        // Line ends and the NULs that some adapters begin with belong to nobody.
        while (!text.empty() && (text.front() == '\r' || text.front() == '\n' || text.front() == '\0')) text.remove_prefix(1);
        if (text.size() < 2) return add_reject(items, "format");
        const std::string_view name = text.substr(0, 1);
        text.remove_prefix(1);
        const char axis = name.front();
        if (axis == 'P' && parse_digits(text)) return add_info(items, "probe", text);
        if (axis == 'T') {
            std::string_view rest = text;
            const auto time = parse_digits(take_until(rest, '/'));
            if (time && !rest.empty() && parse_digits(rest)) return add_info(items, "tachometer", text);
        }
        if (axis != 'X' && axis != 'Y' && axis != 'Z' && axis != 'W' && axis != 'T') return add_reject(items, "format");
        const bool minus = text.front() == '-';
        const auto size = parse_digits(text.substr(minus ? 1 : 0, 11));
        if (!size || text.size() > 11 || (minus && *size == 0)) return add_reject(items, "format");
        const auto value = static_cast<std::int64_t>(*size);
        if (value > 2147483648) return add_reject(items, "range");
        Reading& reading = add_whole(items, minus ? -value : value, axis == 'T' ? Unit::rpm : Unit::counts);
        reading.channel = ChannelName(name);
    }

    bool skipping_, presync_;
};

}  // namespace

const Format format_axis_semi = {
    .id = "axis-semi",
    .title = "axis letter and count ended by a semicolon (\"X1234;\")",
    .measures = Quantity::counts,
    .line = {.baud = 9600, .bits = 8, .parity = Parity::none, .stop = 1, .dtr = true, .rts = true},
    .longest_frame = longest_token,
    .silence_s = 1,
    .lag_s = 0.5,
    .poll = "",
    .poll_every_s = 0,
    .settings = {"counts_per_turn", "index_channel"},
    .make = [](const Settings& settings, Start start) -> std::unique_ptr<Decoder> {
        const Options options(format_axis_semi, settings);
        options.positive("counts_per_turn", {1, 0});
        if (const auto index = options.text("index_channel"); index && *index != "X" && *index != "Y" && *index != "Z" && *index != "W")
            throw options.error("index_channel", "one of X, Y, Z, W");
        return std::make_unique<AxisSemi>(start);
    },
};

}  // namespace halfturn
