// The format that made a capture ranks first, or only behind those of cross_fire.txt that nothing on the wire tells from it.
#include <catch2/catch.hpp>

#include <fstream>
#include <set>

#include "drivers/captures.hpp"
#include "drivers/shared/ranking.hpp"

namespace halfturn::test {
namespace {

std::set<std::pair<std::string, std::string>> pairs_alike() {
    std::ifstream file(HALFTURN_TESTS_DIR "/drivers/cross_fire.txt");
    std::set<std::pair<std::string, std::string>> pairs;
    for (std::string line; std::getline(file, line);) {
        const auto reads = line.find(" reads "), colon = line.find(": ");
        if (line.empty() || line[0] == '#') continue;
        pairs.emplace(line.substr(0, reads), line.substr(reads + 7, colon - reads - 7));
    }
    return pairs;
}

}  // namespace

TEST_CASE("the right format ranks first over every capture, or ties with those that can't be told apart") {
    const auto alike = pairs_alike();
    for (const auto& [capture, path] : captures()) {
        if (capture.driver == "log-csv" || capture.driver == "parmrk") continue;
        const auto fits = rank_formats(capture.bytes);
        std::string order;
        for (const Fit& fit : fits)
            order += "\n  " + std::string(fit.format->id) + " " + std::to_string(fit.readings) + " readings " +
                     std::to_string(fit.rejects) + " rejects, share " + std::to_string(fit.share) + ", " +
                     std::to_string(fit.bits_per_byte) + " bits/byte, " + std::to_string(fit.bits);
        INFO(path.filename().string() << order);
        bool found = false;
        for (const Fit& fit : fits) {
            if (fit.format->id == capture.driver) {
                found = true;
                break;
            }
            CHECK(alike.contains({std::string(fit.format->id), capture.driver}));
        }
        CHECK(found);
    }
}

}  // namespace halfturn::test
