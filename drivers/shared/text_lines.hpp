// Frames that are lines of text ended by CR, LF or both: finding the end fast, starting in the middle of a line, lines that
// never end, noise before a line, and 7-bit instruments read with 8-bit line settings. Not a format itself.
//
//   class MyFormat final : public Lines<MyFormat> {
//   public:
//       static constexpr std::size_t longest_line = 80;
//       explicit MyFormat(Start start) : Lines(start, longest_line) {}
//       void line(std::string_view text, Items& items) { … }  // one line without its ends, never empty
//   };
#pragma once

#include <algorithm>
#include <bit>
#include <cstddef>
#include <cstdint>
#include <cstring>
#include <memory>
#include <string_view>

#include "core/format.hpp"
#include "drivers/shared/seven_bits.hpp"

namespace halfturn {

struct LineEnd {
    std::size_t at;       // position of the first CR or LF, or the size when there is none
    bool high_bits;       // a byte before it has bit 7 set
};
LineEnd find_line_end(std::string_view text);

class TextLines : public Decoder {
protected:
    TextLines(Start start, std::size_t longest)
        : longest_(longest), skip_(start == Start::mid_line ? Skip::to_first_line : Skip::nothing) {}

    // The uncommon ways through: skipping, overlong lines, high bits. `read` is the format's line().
    class Reads {
    public:
        virtual ~Reads() = default;
        virtual void line(std::string_view text, Items& items) = 0;
        virtual Items trial(std::string_view text) const = 0;  // what line() would say, with nothing remembered
        bool understands(std::string_view text) const {
            const Items items = trial(text);
            return std::any_of(items.begin(), items.end(), [](const Item& item) {
                return std::holds_alternative<Reading>(item) || std::holds_alternative<Fault>(item);
            });
        }
    };
    std::size_t take_uncommon(std::string_view head, bool ended, Items& items, Reads& reads);

    static bool begins_with_noise(std::string_view text) { return text.front() < ' ' || text.front() > '~'; }
    // Noise in front of a line that was refused may not hide that the instrument reports a fault. A number stays refused: its
    // first characters may be among what the noise took.
    static void look_behind_noise(std::string_view text, std::size_t before, Items& items, const Reads& reads);

    enum class Skip : std::uint8_t { nothing, to_first_line, overlong };

    std::size_t longest_;
    Skip skip_;
    Parity wrong_parity_ = Parity::none;    // found: the port reads a 7-bit instrument as 8 bits
    bool after_parity_end_ = false;         // while skipping: a line end with bit 7 set was just seen

private:
    std::size_t skip(std::string_view head, bool ended, Items& items, Reads& reads);
    bool is_wrong_parity(std::string_view line_and_end, Items& items, Reads& reads);
};

inline LineEnd find_line_end(std::string_view text) {
    static_assert(std::endian::native == std::endian::little);
    constexpr std::uint64_t ones = 0x0101010101010101u;
    constexpr std::uint64_t highs = 0x8080808080808080u;
    std::size_t at = 0;
    std::uint64_t seen = 0;
    while (at + 8 <= text.size()) {
        std::uint64_t eight;
        std::memcpy(&eight, text.data() + at, 8);
        const std::uint64_t cr = eight ^ (ones * '\r');
        const std::uint64_t lf = eight ^ (ones * '\n');
        // The lowest byte marked in each is exactly the first zero byte.
        const std::uint64_t marks = (((cr - ones) & ~cr) | ((lf - ones) & ~lf)) & highs;
        if (marks != 0) {
            const int bits_before = std::countr_zero(marks) - 7;
            const std::uint64_t before = (std::uint64_t{1} << bits_before) - 1;
            return {at + static_cast<std::size_t>(bits_before / 8), ((seen | (eight & before)) & highs) != 0};
        }
        seen |= eight;
        at += 8;
    }
    for (; at < text.size(); ++at) {
        if (text[at] == '\r' || text[at] == '\n') break;
        seen |= static_cast<unsigned char>(text[at]);
    }
    return {at, (seen & highs) != 0};
}

template <class Derived>
class Lines : public TextLines {
public:
    std::unique_ptr<Decoder> clone() const override { return std::make_unique<Derived>(self()); }

    std::size_t take(std::string_view head, bool ended, Items& items) override {
        if (skip_ == Skip::nothing && wrong_parity_ == Parity::none) {
            // Line ends and NULs left over from the line before are taken with this one: its time is that of its own end.
            std::size_t begin = 0;
            while (begin < std::min(head.size(), longest_) && (head[begin] == '\n' || head[begin] == '\r' || head[begin] == '\0')) ++begin;
            if (begin < longest_) {
                const std::string_view line = head.substr(begin, longest_ - begin);
                const LineEnd end = find_line_end(line);
                if (end.at < line.size() && !end.high_bits) {
                    const std::size_t before = items.size();
                    self().Derived::line(line.substr(0, end.at), items);
                    if (begins_with_noise(line)) look_behind_noise(line.substr(0, end.at), before, items, Bridge{self()});
                    return begin + end.at + 1;
                }
            }
        }
        Bridge bridge{self()};
        return take_uncommon(head, ended, items, bridge);
    }

    bool only_value_varies() const override {
        return Derived::only_value_varies_in_line && skip_ == Skip::nothing && wrong_parity_ == Parity::none;
    }

protected:
    using TextLines::TextLines;

    // A format says true when its line() asks of a line's only number nothing but whether its figures are figures and what they
    // are worth, and remembers nothing of that (all zeros and all nines apart, see core/alike.hpp).
    static constexpr bool only_value_varies_in_line = false;

private:
    Derived& self() { return static_cast<Derived&>(*this); }
    const Derived& self() const { return static_cast<const Derived&>(*this); }

    struct Bridge final : Reads {
        explicit Bridge(Derived& f) : format(f) {}
        void line(std::string_view text, Items& items) override { format.Derived::line(text, items); }
        Items trial(std::string_view text) const override {
            Derived other(format);
            Items items;
            other.Derived::line(text, items);
            return items;
        }
        Derived& format;
    };
};

}  // namespace halfturn
