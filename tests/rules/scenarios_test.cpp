// Every rule against its scenario files: where it must fire, and where it must stay silent.
#include <algorithm>
#include <catch2/catch.hpp>
#include <filesystem>

#include "rules/scenario.hpp"

using namespace halfturn;
using namespace halfturn::test;
namespace fs = std::filesystem;

namespace {

std::vector<fs::path> scenario_files() {
    std::vector<fs::path> files;
    for (const auto& entry : fs::recursive_directory_iterator(HALFTURN_TESTS_DIR "/rules"))
        if (entry.path().extension() == ".scenario") files.push_back(entry.path());
    std::sort(files.begin(), files.end());
    return files;
}

std::string told(const Judgement& judgement) {
    std::string text(call_id(judgement.call));
    text += ", " + std::string(phase_name(judgement.phase));
    if (judgement.break_loose) text += ", release at " + newtons(judgement.break_loose->force_N);
    for (const Warning& w : judgement.warnings)
        text += "\n  " + std::string(w.rule) + " at " + std::to_string(seconds(w.at)) + " s: " + w.says;
    return text;
}

}  // namespace

TEST_CASE("every rule has scenarios where it must fire and where it must stay silent") {
    const auto rules = make_all_rules();
    const fs::path folder = HALFTURN_TESTS_DIR "/rules";
    for (const auto& rule : rules) {
        const std::string id(rule->info().id);
        INFO(id);
        int fires = 0, silent = 0;
        for (const auto& file : scenario_files()) {
            if (file.parent_path() != folder / id) continue;
            const bool named_fires = file.filename().string().starts_with("fires-");
            const auto expected = read_scenario(file.string()).expected;
            const bool does = std::any_of(expected.fires.begin(), expected.fires.end(), [&](const auto& f) { return f.rule == id; });
            INFO(file.string() << ": its name must begin with fires- or silent-, as it expects");
            CHECK(does == named_fires);
            ++(does ? fires : silent);
        }
        CHECK(fires > 0);
        CHECK(silent > 0);
    }
    for (const auto& entry : fs::directory_iterator(folder)) {
        if (!entry.is_directory()) continue;
        const std::string id = entry.path().filename();
        INFO(id << " is no rule");
        CHECK((id == "pulls" || std::any_of(rules.begin(), rules.end(), [&](const auto& rule) { return rule->info().id == id; })));
    }
}

TEST_CASE("each scenario is judged as it says") {
    for (const auto& file : scenario_files()) {
        const Scenario scenario = read_scenario(file.string());
        Judge judge(scenario.set_up);
        for (const Event& event : scenario.events) judge.on(event);
        const Judgement judgement = judge.judgement();
        INFO(file.string() << "\njudged: " << told(judgement));
        const Expected& expected = scenario.expected;
        for (const auto& fires : expected.fires) {
            INFO("expected: " << fires.rule << " by " << fires.by_s << " s");
            const auto found = std::find_if(judgement.warnings.begin(), judgement.warnings.end(),
                                            [&](const Warning& w) { return w.rule == fires.rule; });
            CHECK((found != judgement.warnings.end() && seconds(found->at) <= fires.by_s));
        }
        for (const Warning& w : judgement.warnings) {
            INFO("not expected: " << w.rule);
            CHECK(std::any_of(expected.fires.begin(), expected.fires.end(), [&](const auto& f) { return f.rule == w.rule; }));
        }
        if (!expected.call.empty()) CHECK(call_id(judgement.call) == expected.call);
        if (!expected.phase.empty()) CHECK(phase_name(judgement.phase) == expected.phase);
        if (expected.no_release) CHECK_FALSE(judgement.break_loose);
        if (expected.releases) {
            CHECK(judgement.break_loose);
            if (judgement.break_loose) {
                CHECK(judgement.break_loose->force_N >= expected.release_low_N);
                CHECK(judgement.break_loose->force_N <= expected.release_high_N);
            }
        }
    }
}

TEST_CASE("a stop is cleared only when unloaded, and the hand is not told to turn after it") {
    const Scenario scenario = read_scenario(HALFTURN_TESTS_DIR "/rules/pulls/stop-cleared.scenario");
    Judge judge(scenario.set_up);
    bool loose = true;
    for (const Event& event : scenario.events) {
        judge.on(event);
        const Snapshot now = judge.snapshot();
        const double t_s = seconds(now.at);
        if (t_s < 1.9 || (t_s > 9.9 && t_s < 10.1) || t_s > 11.9) continue;
        INFO(t_s << " s: " << now.next);
        const bool warned = now.warnings > 0;
        loose = loose && !warned;
        if (!warned) CHECK(now.word == HandWord::turn);
        else CHECK(now.word == (t_s < 10 ? HandWord::stop : HandWord::wait));
        CHECK((now.next.find("begin anew") != std::string::npos) == (t_s >= 10));
    }
    CHECK_FALSE(loose);
    CHECK(judge.judgement().call == Call::stop_and_inspect);
}
