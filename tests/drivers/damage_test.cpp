// Every single byte of every capture is lost, changed to each other value, and joined by each value: how many readings come
// out changed and still look good stands in the capture ("changed_but_valid"), and may not grow.
//
// test_drivers "[write-counts]" writes the counts into the captures after a format became stricter or a capture changed.
#include <catch2/catch.hpp>

#include <boost/json.hpp>
#include <cstdio>
#include <fstream>

#include "drivers/captures.hpp"

namespace halfturn::test {
namespace {

// Readings in `damaged` that are not accounted for by those common to both ends.
std::size_t changed(const std::vector<std::string>& whole, const std::vector<std::string>& damaged) {
    std::size_t front = 0, back = 0;
    const std::size_t most = std::min(whole.size(), damaged.size());
    while (front < most && whole[front] == damaged[front]) ++front;
    while (back < most - front && whole[whole.size() - 1 - back] == damaged[damaged.size() - 1 - back]) ++back;
    return damaged.size() - front - back;
}

std::size_t changed_but_valid(const Capture& capture) {
    const auto whole = reading_texts(capture, capture.bytes);
    std::size_t count = 0;
    const auto look = [&](const std::string& bytes) { count += changed(whole, reading_texts(capture, bytes)); };
    for (std::size_t at = 0; at <= capture.bytes.size(); ++at) {
        std::string bytes = capture.bytes;
        bytes.insert(at, 1, '\0');
        for (int value = 0; value < 256; ++value) {
            bytes[at] = static_cast<char>(value);
            look(bytes);
        }
        if (at == capture.bytes.size()) break;
        bytes = capture.bytes;
        for (int value = 0; value < 256; ++value) {
            bytes[at] = static_cast<char>(value);
            if (bytes[at] != capture.bytes[at]) look(bytes);
        }
        bytes.erase(at, 1);
        look(bytes);
    }
    return count;
}

}  // namespace

TEST_CASE("a lost, changed or added byte makes no more good-looking wrong readings than before", "[sweep]") {
    for (const auto& [capture, path] : captures()) {
        INFO(path.string());
        const auto description = boost::json::parse(capture.json);
        const auto* kept = description.get_object().if_contains("changed_but_valid");
        REQUIRE(kept != nullptr);
        const auto allowed = static_cast<std::size_t>(kept->to_number<std::int64_t>());
        const std::size_t count = changed_but_valid(capture);
        CHECK(count <= allowed);
        if (count < allowed) WARN(path.string() << ": now " << count << "; lower changed_but_valid from " << allowed);
    }
}

TEST_CASE("write the counts of changed but valid readings into the captures", "[.][write-counts]") {
    for (const auto& [capture, path] : captures()) {
        const std::string key = "\"changed_but_valid\": ";
        std::string text = capture.json;
        const std::string number = std::to_string(changed_but_valid(capture));
        if (const auto at = text.find(key); at != std::string::npos) {
            const std::size_t from = at + key.size();
            text.replace(from, text.find_first_not_of("0123456789", from) - from, number);
        } else {
            text.insert(text.find('{') + 1, "\n  " + key + number + ",");
        }
        std::ofstream(path) << text;
    }
}

}  // namespace halfturn::test
