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

// A caliper that stands at 49.14 mm and a counter at 1.93 turns where the log begins tell the same pull as both at zero.
TEST_CASE("turns and screw travel of another logger need not begin at zero") {
    const std::string folder = HALFTURN_TESTS_DIR "/jobs/";
    const Bench bench;
    std::ifstream log(folder + "clean-straight-100hz.csv");
    std::string line, moved = "t_s,force_N,turns,screw_travel_mm\n";
    std::getline(log, line);
    while (std::getline(log, line)) {
        const auto force = line.find(',') + 1, turns = line.find(',', force) + 1;
        const double turned = *halfturn::parse_number(line.substr(turns, line.find_first_of(",\r", turns) - turns));
        moved += line.substr(0, turns) + halfturn::fixed_text(turned + 1.93, 4) + "," + halfturn::fixed_text(turned * 1.25 + 49.14, 3) + "\n";
    }
    const std::string rest = "' --job '" + folder + "castor-out.job.toml' --rig '" + folder + "castor.rig.toml' --json";
    const auto judged = [&](const std::string& file) { return bench.run("judge '" + file + rest).json(); };
    const auto here = judged(bench.file("moved.csv", moved)), there = judged(folder + "clean-straight-100hz.csv");
    CHECK(here.at("call") == there.at("call"));
    CHECK(here.at("warnings").as_array().empty());
    CHECK(here.at("contact_turns").to_number<double>() == Approx(there.at("contact_turns").to_number<double>()).margin(0.02));
}
