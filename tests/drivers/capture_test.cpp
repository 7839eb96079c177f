// Every capture gives the readings and faults it expects, in order; every format has captures.
#include <catch2/catch.hpp>

#include <boost/json.hpp>
#include <map>

#include "core/decimal.hpp"
#include "drivers/captures.hpp"

namespace halfturn::test {
namespace {

namespace json = boost::json;

bool is(const json::object& item, std::string_view kind) { return item.at("t").get_string() == kind; }

std::string text_of(const json::value* value) { return value ? json::serialize(*value) : "(missing)"; }

// Whether what was decoded has everything that is expected of it, in `why` what has not.
bool fits(const json::object& wanted, const json::object& got, const Capture& capture, std::string& why) {
    for (const auto& [key, value] : wanted) {
        const json::value* found = got.if_contains(key);
        if (key == "value" && found) {
            const auto a = parse_decimal(std::string(value.get_string())), b = parse_decimal(std::string(found->get_string()));
            if (a && b && a->value == b->value) continue;
        }
        if (key == "unit" && value == "cfg" && found) {
            const auto set = capture.settings.find("unit");
            if (found->get_string() == (set == capture.settings.end() ? std::string("cfg") : set->second)) continue;
        }
        // Wordings of faults may differ; their codes may not.
        if (key == "detail") continue;
        if (found && *found == value) continue;
        why = std::string(key) + " should be " + json::serialize(value) + " but is " + text_of(found);
        return false;
    }
    return true;
}

}  // namespace

TEST_CASE("captures are decoded as they expect") {
    for (const auto& [capture, path] : captures()) {
        INFO(path.string());
        std::vector<json::object> got, wanted;
        std::size_t got_rejects = 0, wanted_rejects = 0;
        std::vector<std::size_t> cuts;
        for (const std::size_t chunk : capture.chunks) cuts.push_back((cuts.empty() ? 0 : cuts.back()) + chunk);
        for (const auto& seen : play(capture, capture.bytes, cuts)) {
            const auto item = json::parse(seen.json).get_object();
            if (is(item, "reading") || is(item, "fault")) got.push_back(item);
            if (is(item, "reject")) ++got_rejects;
        }
        const json::value description = json::parse(capture.json);
        for (const auto& value : description.at("expect").get_array()) {
            const auto& item = value.get_object();
            if (is(item, "reading") || is(item, "fault")) wanted.push_back(item);
            if (is(item, "reject")) ++wanted_rejects;
        }
        for (std::size_t i = 0; i < std::min(got.size(), wanted.size()); ++i) {
            std::string why;
            INFO("item " << i << ": " << json::serialize(got[i]));
            const bool fit = fits(wanted[i], got[i], capture, why);
            INFO(why);
            CHECK(fit);
        }
        CHECK(got.size() == wanted.size());
        CHECK(got_rejects >= wanted_rejects);
    }
}

TEST_CASE("every format has at least two captures, and every capture a format") {
    std::map<std::string, int, std::less<>> count;
    for (const auto& [capture, path] : captures()) {
        ++count[capture.driver];
        CHECK(path.parent_path().filename() == capture.driver);
        CHECK(find_format(capture.driver) != nullptr);
    }
    for (const Format* format : all_formats()) {
        INFO(format->id);
        CHECK(count[std::string(format->id)] >= 2);
    }
}

TEST_CASE("every format tells about itself") {
    for (const Format* format : all_formats()) {
        INFO(format->id);
        CHECK(find_format(format->id) == format);
        CHECK(!format->title.empty());
        CHECK(format->longest_frame > 0);
        CHECK(format->line.baud > 0);
        CHECK(format->silence_s >= 0);
        CHECK(format->id.find_first_not_of("abcdefghijklmnopqrstuvwxyz0123456789-") == std::string_view::npos);
    }
    CHECK(find_format("no-such-format") == nullptr);
}

}  // namespace halfturn::test
