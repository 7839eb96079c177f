// Findings against simulated jobs. The long case makes src/review/finding_rates.csv anew; after a change that
// moves it, copy the table it leaves in the build folder over the kept one.
#include "review/rates.hpp"

#include <catch2/catch.hpp>
#include <fstream>
#include <iostream>
#include <sstream>

using namespace halfturn;
using namespace halfturn::test;

TEST_CASE("findings over a small set of simulated jobs") {
    std::vector<std::string> wrong;
    const RateTable rates = measure_rates(simulated_kinds(), {simulated_rigs().front()}, 7001, 4, &wrong);
    int missed = 0, with = 0, false_alarms = 0, without = 0;
    for (const auto& [id, r] : rates)
        missed += r.missed, with += r.with, false_alarms += r.false_alarms, without += r.without;
    std::string list;
    for (const auto& line : wrong) list += line + "\n";
    INFO(list);
    CHECK(with == 60);
    CHECK(missed <= 9);
    CHECK(false_alarms <= without / 100 + 4);
}

TEST_CASE("the kept table of rates is what thousands of simulated jobs give", "[.long][rates]") {
    std::vector<std::string> wrong;
    const RateTable rates = measure_rates(simulated_kinds(), simulated_rigs(), 1, 40, &wrong);
    const std::string made = rate_csv(rates), left = HALFTURN_BUILD_DIR "/finding_rates.csv";
    std::ofstream(left) << made;
    std::ofstream list(HALFTURN_BUILD_DIR "/finding_rates.wrong.txt");
    for (const auto& line : wrong) list << line << "\n";
    std::ifstream kept(HALFTURN_TESTS_DIR "/../src/review/finding_rates.csv");
    std::stringstream text;
    text << kept.rdbuf();
    INFO("made anew: " << left);
    CHECK(text.str() == made);
}
