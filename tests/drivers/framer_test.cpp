// The framer and the marks of the serial line (termios PARMRK): FF 00 x is a bad byte, FF 00 00 a break, FF FF a real FF.
#include <catch2/catch.hpp>

#include "core/framer.hpp"
#include "core/item_json.hpp"
#include "drivers/captures.hpp"

namespace halfturn::test {
namespace {

using namespace std::string_literals;

const Format& value_unit() { return *find_format("value-unit"); }

std::vector<std::string> decode(Framer framer, const std::vector<std::string>& parts, bool ended = true) {
    std::vector<std::string> items;
    const Framer::Sink sink = [&](const Item& item, std::size_t) { items.push_back(item_json(item, value_unit())); };
    for (const auto& part : parts) framer.feed(part, sink);
    if (ended) framer.end(sink);
    return items;
}

Framer marked() { return Framer(value_unit(), {}, Start::boundary, true); }
Framer plain() { return Framer(value_unit(), {}, Start::boundary, false); }

const std::string reading = R"({"t":"reading","value":"1.5","unit":"mm","q":"length"})";
const std::string line_error = R"({"t":"reject","reason":"line_error"})";

}  // namespace

TEST_CASE("a line with a bad byte gives no reading, whatever the byte looks like") {
    CHECK(decode(marked(), {"1.5 mm\r"}) == std::vector{reading});
    for (std::size_t at = 0; at < 7; ++at) {
        std::string line = "1.5 mm\r";
        line.insert(at, "\xFF\0"s);  // the byte behind is the bad one
        INFO(at);
        CHECK(decode(marked(), {line, "1.5 mm\r"}) == std::vector{line_error, reading});
    }
}

TEST_CASE("a break spoils the line it falls in") {
    CHECK(decode(marked(), {"1.5\xFF\0\0 mm\r1.5 mm\r"s}) == std::vector{line_error, reading});
    CHECK(decode(marked(), {"\xFF\0\0"s "1.5 mm\r1.5 mm\r"}) == std::vector{line_error, reading});
}

TEST_CASE("a doubled FF is one byte of data") {
    // It is no part of a number, so the line is refused, but by the format and not as a line error.
    CHECK(decode(marked(), {"1\xFF\xFF.5 mm\r1.5 mm\r"}) == std::vector{R"({"t":"reject","reason":"format"})"s, reading});
}

TEST_CASE("marks may be cut anywhere") {
    const std::string bytes = "1.5 mm\r1\xFF\0.5 mm\r\xFF\xFF\xFF\0\0"s "1.5 mm\r1.5 mm\r";
    const auto whole = decode(marked(), {bytes});
    CHECK(whole.size() == 4);
    for (std::size_t a = 0; a <= bytes.size(); ++a)
        for (std::size_t b = a; b <= bytes.size(); ++b)
            CHECK(decode(marked(), {bytes.substr(0, a), bytes.substr(a, b - a), bytes.substr(b)}) == whole);
}

TEST_CASE("a mark that never ends gives nothing") {
    CHECK(decode(marked(), {"1.5 mm\r1.5 mm\xFF"s}).size() == 2);
    CHECK(decode(marked(), {"1.5 mm\r\xFF\0"s}) == std::vector{reading});
}

TEST_CASE("every capture, marked as the kernel would, reads the same") {
    for (const auto& [capture, path] : captures()) {
        if (capture.settings.contains("parmrk")) continue;
        INFO(path.string());
        std::string escaped;
        for (const char c : capture.bytes) escaped.append(c == '\xFF' ? 2 : 1, c);
        Capture with_marks = capture;
        with_marks.settings["parmrk"] = "true";
        if (capture.requests.size() == capture.chunks.size()) continue;  // requests stand at places in the bytes
        const auto before = play(capture, capture.bytes);
        const auto after = play(with_marks, escaped);
        REQUIRE(before.size() == after.size());
        for (std::size_t i = 0; i < before.size(); ++i) CHECK(before[i].json == after[i].json);
    }
}

TEST_CASE("one bad byte anywhere in a capture makes no other reading change") {
    for (const auto& [capture, path] : captures()) {
        if (capture.settings.contains("parmrk") || capture.requests.size() == capture.chunks.size()) continue;
        // Later readings may rightly change where a line set the unit, a header the columns, or a list counts the frames.
        if (capture.driver == "sign-cr" || capture.driver == "log-csv" || capture.driver == "modbus-rtu") continue;
        INFO(path.string());
        Capture with_marks = capture;
        with_marks.settings["parmrk"] = "true";
        const auto whole = reading_texts(capture, capture.bytes);
        for (std::size_t bad = 0; bad < capture.bytes.size(); ++bad) {
            std::string escaped;
            for (std::size_t i = 0; i < capture.bytes.size(); ++i) {
                if (i == bad) escaped.append("\xFF\0"s).append(1, 'A');
                else escaped.append(capture.bytes[i] == '\xFF' ? 2 : 1, capture.bytes[i]);
            }
            // What is left must be the same readings in order, with some missing.
            const auto left = reading_texts(with_marks, escaped);
            std::size_t at = 0;
            for (const auto& text : left) {
                while (at < whole.size() && whole[at] != text) ++at;
                INFO("bad byte at " << bad << ", reading " << text);
                REQUIRE(at < whole.size());
                ++at;
            }
        }
    }
}

TEST_CASE("bytes after an item tell how long ago it ended") {
    Framer framer = plain();
    std::vector<std::size_t> after;
    framer.feed("1.5 mm\r\n2.5 mm\r\n3", [&](const Item&, std::size_t bytes) { after.push_back(bytes); });
    CHECK(after == std::vector<std::size_t>{10, 2});
}

TEST_CASE("a line that never ends is refused once, and its tail with it") {
    const std::string tail = "12.5 mm\r";
    CHECK(decode(plain(), {std::string(300, '7') + tail + "1.5 mm\r"}) == std::vector{R"({"t":"reject","reason":"length"})"s, reading});
}

TEST_CASE("a copied framer goes on from where the first one stood") {
    Framer first = plain();
    std::vector<std::string> items;
    const Framer::Sink sink = [&](const Item& item, std::size_t) { items.push_back(item_json(item, value_unit())); };
    first.feed("1.5 m", sink);
    Framer second(first);
    first.feed("m\r", sink);
    second.feed("m\r", sink);
    CHECK(items == std::vector{reading, reading});
}

}  // namespace halfturn::test
