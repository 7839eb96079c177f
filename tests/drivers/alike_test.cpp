// Frames like the one before are read without being taken: that must change nothing, and it must happen.
#include <catch2/catch.hpp>

#include <numeric>
#include <random>

#include <fmt/format.h>

#include "core/framer.hpp"
#include "drivers/captures.hpp"
#include "drivers/shared/text_lines.hpp"
#include "drivers/shared/words.hpp"

namespace halfturn::test {
namespace {

// Each line of the bytes several times, every second with most figures others; some of those with nothing but zeros or nines,
// some with a byte hurt.
std::string varied(std::string_view bytes, std::mt19937& gen) {
    const auto below = [&](int end) { return std::uniform_int_distribution<int>(0, end - 1)(gen); };
    std::string out;
    while (!bytes.empty()) {
        const std::size_t end = std::min(bytes.find_first_of("\r\n"), bytes.size() - 1) + 1;
        const std::string line(bytes.substr(0, end));
        bytes.remove_prefix(end);
        for (int copy = 0; copy < 4; ++copy) {
            out += line;
            std::string other = line;
            const int way = below(12);
            for (char& c : other)
                if (is_digit(c) && below(3) != 0) c = way == 0 ? '0' : way == 1 ? '9' : static_cast<char>('0' + below(10));
            if (way == 2) other[static_cast<std::size_t>(below(static_cast<int>(other.size())))] = static_cast<char>(below(256));
            out += other;
        }
    }
    return out;
}

// Counts how often its lines are looked at.
class Counted final : public Lines<Counted> {
public:
    static constexpr bool only_value_varies_in_line = true;
    inline static int looked_at = 0;

    explicit Counted(Start start) : Lines(start, 80) {}
    void line(std::string_view text, Items& items) {
        ++looked_at;
        if (const auto value = parse_decimal(text)) add_reading(items, *value, Unit::mm);
        else add_reject(items, "format");
    }
};

Format counted() {
    Format format = *find_format("value-text");
    format.make = [](const Settings&, Start start) -> std::unique_ptr<Decoder> { return std::make_unique<Counted>(start); };
    return format;
}

}  // namespace

TEST_CASE("captures whose lines come again with other figures say the same line by line and byte by byte") {
    std::mt19937 gen(7);
    for (const auto& [capture, path] : captures()) {
        if (capture.settings.contains("parmrk")) continue;  // places are not those of the bytes
        INFO(path.string());
        const std::string bytes = varied(capture.bytes, gen);
        std::vector<std::size_t> every(bytes.size());
        std::iota(every.begin(), every.end(), std::size_t{1});
        CHECK((play(capture, bytes) == play(capture, bytes, every)));  // a lone byte is never enough to be alike
    }
}

TEST_CASE("a run of lines that differ in their figures is looked at once") {
    std::string bytes;
    for (int i = 0; i < 1000; ++i) bytes += fmt::format("{}.{:02d}\r\n", 1 + i % 7, i % 100);
    Counted::looked_at = 0;
    Framer framer(counted(), {}, Start::boundary);
    std::vector<Decimal> values;
    std::vector<std::size_t> ends;
    framer.feed(bytes, [&](const Item& item, std::size_t after) {
        values.push_back(std::get<Reading>(item).value);
        ends.push_back(bytes.size() - after);
    });
    REQUIRE(values.size() == 1000);
    for (int i = 0; i < 1000; ++i) {
        CHECK(values[static_cast<std::size_t>(i)] == normalised((1 + i % 7) * 100 + i % 100, -2));
        CHECK(ends[static_cast<std::size_t>(i)] == static_cast<std::size_t>(i) * 6 + 5);
    }
    CHECK(Counted::looked_at < 6);  // the first, the first behind a LF, and the last ones
}

TEST_CASE("a bad byte in a line like the one before is seen") {
    std::string bytes;
    for (int i = 0; i < 20; ++i) bytes += fmt::format("1.{:02d}\r\n", i);
    bytes.insert(6 * 10 + 2, std::string("\xFF\0", 2));
    Framer framer(counted(), {}, Start::boundary, true);
    int readings = 0, line_errors = 0;
    framer.feed(bytes, [&](const Item& item, std::size_t) {
        if (std::holds_alternative<Reading>(item)) ++readings;
        const auto* reject = std::get_if<Reject>(&item);
        if (reject && reject->reason == "line_error") ++line_errors;
    });
    CHECK(readings == 19);
    CHECK(line_errors == 1);
}

}  // namespace halfturn::test
