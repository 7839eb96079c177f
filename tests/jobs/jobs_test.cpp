// Logs of other loggers with the calls they must end in (expected.csv), judged by the binary as a caller would.
#include <algorithm>
#include <catch2/catch.hpp>
#include <fstream>
#include <sstream>

#include "core/number_text.hpp"
#include "run_halfturn.hpp"

using namespace halfturn::test;

TEST_CASE("every kept log ends in the call that its author wrote down") {
    const std::string folder = HALFTURN_TESTS_DIR "/jobs/";
    const Bench bench;
    std::ifstream table(folder + "expected.csv");
    std::string line;
    std::getline(table, line);
    int jobs = 0;
    while (std::getline(table, line)) {
        std::istringstream cells(line);
        std::string log, job, rig, calls, release;
        std::getline(cells, log, ',');
        std::getline(cells, job, ',');
        std::getline(cells, rig, ',');
        std::getline(cells, calls, ',');
        std::getline(cells, release, ',');
        ++jobs;
        const Ran ran = bench.run("judge '" + folder + log + ".csv' --job '" + folder + job + ".job.toml' --rig '" + folder + rig +
                                  ".rig.toml' --json");
        INFO(log << " on " << rig << ": " << ran.out);
        const auto judged = ran.json();
        const std::string call(judged.at("call").as_string());
        CHECK((" " + calls + " ").find(" " + call + " ") != std::string::npos);
        const auto& found = judged.at("break_loose");
        if (release == "none") CHECK(found.is_null());
        else if (!release.empty()) {
            REQUIRE(found.is_object());
            const double expected = *halfturn::parse_number(release);
            CHECK(number(found.at("force_N")) < expected + 30);
            CHECK(number(found.at("force_bound_N")) > expected - 30);
        }
    }
    CHECK(jobs > 20);
}
