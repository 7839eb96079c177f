// parmrk: the serial line itself, as the kernel marks it. Reads no instrument: for looking at a line that makes trouble.
//
//     FF 00 x                  byte x came with a wrong parity or frame: its whole line is told as line_error
//     FF 00 00                 break (or a hang-up): the line begins anew behind it
//     FF FF                    a genuine FF: told as data_ff
//     anything else            text up to CR or LF: told as line
//
// Source: termios PARMRK (POSIX, glibc manual "Input Modes"). Everything is an info; there never is a reading. Other formats
// meet these marks through the framer (setting parmrk = true), where a frame with a bad byte or a break in it is refused.
#include "drivers/shared/options.hpp"
#include "drivers/shared/words.hpp"

namespace halfturn {

extern const Format format_parmrk;

namespace {

class Parmrk final : public Decoder {
public:
    static constexpr std::size_t longest_line = 256;

    std::unique_ptr<Decoder> clone() const override { return std::make_unique<Parmrk>(*this); }

    std::size_t take(std::string_view head, bool ended, Items& items) override {
        std::string text;
        int bad = 0, genuine = 0;
        for (std::size_t at = 0; at < head.size(); ++at) {
            const char c = head[at];
            if (c == '\r' || c == '\n' || at >= longest_line) {
                finish(text, bad, genuine, items);
                return at + 1;
            }
            if (c != '\xFF') {
                text += c;
                continue;
            }
            if (at + 1 == head.size() || (head[at + 1] == '\0' && at + 2 == head.size())) break;
            if (head[at + 1] == '\xFF') {
                ++genuine;
                at += 1;
            } else if (head[at + 1] == '\0' && head[at + 2] == '\0') {
                finish(text, bad, genuine, items);
                add_info(items, "break", "");
                return at + 3;
            } else if (head[at + 1] == '\0') {
                ++bad;
                at += 2;
            }
        }
        if (!ended) return 0;
        add_reject(items, "length");
        return head.size();
    }

private:
    static void finish(const std::string& text, int bad, int genuine, Items& items) {
        if (bad > 0) items.emplace_back(Info{"line_error", "", {"bytes", std::to_string(bad)}});
        else if (genuine > 0) add_info(items, "data_ff", text);
        else if (!text.empty()) add_info(items, "line", text);
    }
};

}  // namespace

const Format format_parmrk = {
    .id = "parmrk",
    .title = "the serial line's own marks: bad bytes, breaks (reads no instrument)",
    .measures = Quantity::none,
    .line = {},
    .longest_frame = Parmrk::longest_line + 4,
    .silence_s = 0,
    .lag_s = 0,
    .poll = "",
    .poll_every_s = 0,
    .settings = {"parmrk"},
    .make = [](const Settings& settings, Start) -> std::unique_ptr<Decoder> {
        Options(format_parmrk, settings).flag("parmrk", true);
        return std::make_unique<Parmrk>();
    },
};

}  // namespace halfturn
