// No format reads the captures of another, but for the pairs in cross_fire.txt, each with its reason. Nothing on the wire
// tells those apart, so a rig file must say which it is; a line there that no longer holds must go.
#include <catch2/catch.hpp>

#include <fstream>
#include <map>
#include <set>

#include "core/failure.hpp"
#include "drivers/captures.hpp"

namespace halfturn::test {
namespace {

using Pair = std::pair<std::string, std::string>;  // who reads, whose capture

std::map<Pair, std::string> known_pairs() {
    std::ifstream file(HALFTURN_TESTS_DIR "/drivers/cross_fire.txt");
    std::map<Pair, std::string> pairs;
    for (std::string line; std::getline(file, line);) {
        if (line.empty() || line[0] == '#') continue;
        const auto reads = line.find(" reads "), colon = line.find(": ");
        REQUIRE(reads != std::string::npos);
        REQUIRE(colon != std::string::npos);
        pairs[{line.substr(0, reads), line.substr(reads + 7, colon - reads - 7)}] = line.substr(colon + 2);
    }
    return pairs;
}

}  // namespace

TEST_CASE("no format reads another's captures, but for known pairs") {
    // Each format is tried with every set of settings that its own captures use.
    std::map<std::string, std::set<Settings>> settings;
    for (const auto& [capture, path] : captures()) settings[capture.driver].insert(capture.settings);
    const auto known = known_pairs();
    std::set<Pair> seen;
    for (const auto& [capture, path] : captures()) {
        for (const Format* format : all_formats()) {
            // What the parmrk captures hold is a caliper's lines.
            if (format->id == capture.driver || capture.driver == "parmrk") continue;
            for (const auto& set : settings[std::string(format->id)]) {
                std::string example;
                for (const auto& item : play_through(*format, set, capture))
                    if (item.is_reading) example = item.json;
                if (example.empty()) continue;
                const Pair pair = {std::string(format->id), capture.driver};
                seen.insert(pair);
                INFO(pair.first << " reads " << pair.second << ": " << path.filename().string() << " " << example);
                CHECK(known.contains(pair));
            }
        }
    }
    for (const auto& [pair, why] : known) {
        INFO(pair.first << " reads " << pair.second << " no longer: take the line out");
        CHECK(seen.contains(pair));
    }
}

}  // namespace halfturn::test
