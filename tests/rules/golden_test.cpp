// [P1] What the judge says of the scenarios, as fingerprints kept from the day its version was given. One that changes asks for
// a new judge_version (watch/verdict.hpp); then test_rules "[.keep-golden]" writes the list anew.
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>
#include <map>
#include <string>

#include "rules/scenario.hpp"
#include "watch/verdict.hpp"

using namespace halfturn;
namespace fs = std::filesystem;

namespace {

const fs::path folder = HALFTURN_TESTS_DIR "/rules";
const fs::path kept = folder / "golden_fingerprints.txt";

std::string fingerprint_of(const fs::path& scenario) {
    const auto read = test::read_scenario(scenario.string());
    Judge judge(read.set_up);
    for (const Event& event : read.events) judge.on(event);
    return judge.judgement().fingerprint;
}

}  // namespace

TEST_CASE("the golden fingerprints stand, or the judge has a new version", "[P1]") {
    std::ifstream in(kept);
    std::string word, version, scenario, fingerprint;
    REQUIRE(in >> word >> version);
    REQUIRE(word == "judge");
    INFO("Verdicts or their numbers changed. If that is meant, raise judge_version and keep the fingerprints anew.");
    CHECK(version == judge_version);
    int count = 0;
    while (in >> scenario >> fingerprint) {
        INFO(scenario);
        CHECK(fingerprint_of(folder / scenario) == fingerprint);
        ++count;
    }
    CHECK(count > 50);
}

TEST_CASE("keep the golden fingerprints of this judge", "[.keep-golden]") {
    std::map<std::string, std::string> list;
    for (const auto& entry : fs::recursive_directory_iterator(folder))
        if (entry.path().extension() == ".scenario")
            list[fs::relative(entry.path(), folder).string()] = fingerprint_of(entry.path());
    std::ofstream out(kept);
    out << "judge " << judge_version << '\n';
    for (const auto& [scenario, fingerprint] : list) out << scenario << ' ' << fingerprint << '\n';
    REQUIRE(out.flush());
}
