// sync2x24-hex: the two 24-bit words of an older clock-and-data caliper, printed as hexadecimal numbers.
//
//     01E240 005000 CR LF      six digits, blank, six digits
//     order             abs,rel or rel,abs: which word comes first           (must be set: the sources disagree)
//     counts_per_inch   20480 or 10240 …                                     (must be set: the sources disagree)
//     use               rel (what the display shows; the default) or abs
//     complement        two (the default) or ones: how negative numbers are written
//
// Sources: model-engineer forum scale protocol post (absolute first, 20480 per inch, twos complement), robotroom (10240 per
// inch), electronicsproproject (relative first, ones complement). The hexadecimal line is our own bridge's form.
// Traps: no unit bit, no checksum; check the scale against a ruler. Ones complement has a minus zero.
// Line: 115200 8N1. Overload: none. Silence 1.5 s (every 300 to 330 ms, fast mode 20 to 25 ms). Lag 0.33 s.
#include <algorithm>
#include <numeric>

#include "drivers/shared/options.hpp"
#include "drivers/shared/text_lines.hpp"
#include "drivers/shared/words.hpp"

namespace halfturn {

extern const Format format_sync2x24_hex;

namespace {

constexpr std::int64_t word_span = 0x1000000, word_half = 0x800000;

// millimetres = counts x 25.4 / counts_per_inch: exact where the quotient ends in time (every power of two and ten does),
// else rounded to 10^-9 mm.
class Scale {
public:
    explicit Scale(std::int64_t counts_per_inch) : per_inch_(counts_per_inch) {
        const std::int64_t common = std::gcd(std::int64_t{254}, 10 * counts_per_inch);
        numerator_ = 254 / common;
        std::int64_t denominator = 10 * counts_per_inch / common;
        int twos = 0, fives = 0;
        for (; denominator % 2 == 0; denominator /= 2) ++twos;
        for (; denominator % 5 == 0; denominator /= 5) ++fives;
        decimals_ = std::max(twos, fives);
        exact_ = denominator == 1;
        for (int i = twos; i < decimals_; ++i) multiply(2);
        for (int i = fives; i < decimals_; ++i) multiply(5);
    }

    Decimal millimetres(std::int64_t counts) const {
        if (exact_) return normalised(counts * numerator_, -decimals_);
        const std::int64_t scaled = counts * 25'400'000'000;
        return normalised((scaled + (counts < 0 ? -per_inch_ : per_inch_) / 2) / per_inch_, -9);
    }

private:
    void multiply(std::int64_t factor) {
        exact_ = exact_ && numerator_ < (std::int64_t{1} << 36);  // times 24 bits stays well inside 63
        if (exact_) numerator_ *= factor;
    }

    std::int64_t per_inch_, numerator_;
    int decimals_;
    bool exact_;
};

class Sync2x24Hex final : public Lines<Sync2x24Hex> {
public:
    static constexpr std::size_t longest_line = 32;

    Sync2x24Hex(const Options& options, Start start)
        : Lines(start, longest_line),
          first_word_(options.choice("order", {"abs,rel", "rel,abs"}, 0) == options.choice("use", {"abs", "rel"}, 1)),
          ones_(options.choice("complement", {"two", "ones"}, 0) == 1),
          scale_(options.integer("counts_per_inch", 1, 1'000'000, 0)) {}

    void line(std::string_view text, Items& items) {
        drop_trailing_blanks(text);
        if (text.size() != 13) return add_reject(items, "length");
        const auto first = parse_hex(text.substr(0, 6)), second = parse_hex(text.substr(7));
        if (!first || !second || text[6] != ' ') return add_reject(items, "format");
        const auto word = static_cast<std::int64_t>(first_word_ ? *first : *second);
        const bool minus = word >= word_half;
        const std::int64_t counts = !minus ? word : ones_ ? word - (word_span - 1) : word - word_span;
        ParsedDecimal value;
        value.value = scale_.millimetres(counts);
        value.negative_zero = minus && counts == 0;
        value.decimals = 3;
        add_reading(items, value, Unit::mm);
    }

private:
    bool first_word_, ones_;
    Scale scale_;
};

}  // namespace

const Format format_sync2x24_hex = {
    .id = "sync2x24-hex",
    .title = "two 24-bit caliper words in hexadecimal (\"01E240 005000\")",
    .measures = Quantity::length,
    .line = {.baud = 115200, .bits = 8, .parity = Parity::none, .stop = 1, .dtr = true, .rts = true},
    .longest_frame = Sync2x24Hex::longest_line,
    .silence_s = 1.5,
    .lag_s = 0.33,
    .poll = "",
    .poll_every_s = 0,
    .settings = {"order", "use", "complement", "counts_per_inch"},
    .make = [](const Settings& settings, Start start) -> std::unique_ptr<Decoder> {
        const Options options(format_sync2x24_hex, settings);
        if (!options.text("order")) throw options.error("order", "abs,rel or rel,abs: the word that your caliper sends first");
        if (!options.text("counts_per_inch")) throw options.error("counts_per_inch", "the scale of your caliper, as 20480 or 10240");
        return std::make_unique<Sync2x24Hex>(options, start);
    },
};

}  // namespace halfturn
