// A table of set-ups with known answers, setups.txt: add a block and it is tested.
#include <catch2/catch.hpp>
#include <algorithm>
#include <fstream>
#include <optional>
#include <sstream>
#include <string>
#include <vector>

#include "plan/plan.hpp"

using namespace halfturn;

namespace {

struct SetUpCase {
    std::string name, answer, job, inventory, rig;
    std::vector<std::string> because, notes, parts;  // ids of the reasons, of notes; "drift=NAME"
};

std::vector<std::string> split(const std::string& text) {
    std::vector<std::string> list;
    std::istringstream in(text);
    for (std::string item; std::getline(in, item, ',');) {
        item.erase(0, item.find_first_not_of(' '));
        item.erase(item.find_last_not_of(' ') + 1);
        if (!item.empty()) list.push_back(item);
    }
    return list;
}

std::vector<SetUpCase> read_cases() {
    std::ifstream in(HALFTURN_TESTS_DIR "/plan/setups.txt");
    REQUIRE(in);
    std::vector<SetUpCase> cases;
    std::string common_inventory, common_rig;
    std::string* into = nullptr;
    for (std::string line; std::getline(in, line);) {
        const auto after = [&](const char* key) -> std::optional<std::string> {
            const std::string start = std::string(key) + ":";
            if (!line.starts_with(start)) return std::nullopt;
            return line.substr(std::min(line.size(), start.size() + 1));
        };
        if (line.starts_with("== ")) {
            cases.push_back({});
            cases.back().name = line.substr(3);
            into = nullptr;
        } else if (cases.empty()) {
            if (line == "inventory:") into = &common_inventory;
            else if (line == "rig:") into = &common_rig;
            else if (into) *into += line + "\n";
        } else if (auto answer = after("answer")) {
            cases.back().answer = *answer;
        } else if (auto because = after("because")) {
            cases.back().because = split(*because);
        } else if (auto notes = after("notes")) {
            cases.back().notes = split(*notes);
        } else if (auto parts = after("parts")) {
            cases.back().parts = split(*parts);
        } else if (line == "job:") {
            into = &cases.back().job;
        } else if (line == "inventory:") {
            into = &cases.back().inventory;
        } else if (line == "rig:") {
            into = &cases.back().rig;
        } else if (into) {
            *into += line + "\n";
        }
    }
    for (auto& one : cases) {
        if (one.inventory.empty()) one.inventory = common_inventory;
        if (one.rig.empty()) one.rig = common_rig;
    }
    return cases;
}

bool has(const plan::Plan& plan, const std::string& id, bool reason) {
    return std::any_of(plan.checks.begin(), plan.checks.end(), [&](const plan::Check& check) {
        return check.id == id && (check.grade >= plan::Grade::with_care) == reason;
    });
}

}  // namespace

TEST_CASE("set-ups with known answers") {
    const auto cases = read_cases();
    REQUIRE(cases.size() >= 20);
    for (const auto& one : cases) {
        INFO(one.name);
        const JobFile job = read_job_text(one.job, one.name + ", job");
        const RigFile rig = read_rig_text(one.rig, one.name + ", rig");
        const auto plan = plan::make_plan(job, &rig, plan::read_inventory_text(one.inventory, one.name + ", inventory"), 1);
        INFO(plan::plan_text(plan));
        CHECK(plan::answer_id(plan.answer) == one.answer);
        for (const auto& id : one.because) { INFO(id); CHECK(has(plan, id, true)); }
        for (const auto& id : one.notes) { INFO(id); CHECK(has(plan, id, false)); }
        // No other reasons than those named.
        for (const auto& check : plan.checks)
            if (check.grade >= plan::Grade::with_care) {
                INFO("unexpected reason " << check.id);
                CHECK(std::find(one.because.begin(), one.because.end(), check.id) != one.because.end());
            }
        for (const auto& part : one.parts) {
            const auto at = part.find('=');
            const std::string kind = part.substr(0, at), name = part.substr(at + 1);
            const auto& parts = plan.parts;
            const std::string chosen = kind == "drift"     ? (parts.drift.chosen ? parts.drift.chosen->name : "none")
                                       : kind == "plug"    ? (parts.plug.chosen ? parts.plug.chosen->name : "none")
                                       : kind == "support" ? (parts.support.chosen ? parts.support.chosen->name : "none")
                                       : kind == "screw"   ? (parts.screw.chosen ? parts.screw.chosen->name : "none")
                                       : kind == "nut"     ? (parts.nut.chosen ? parts.nut.chosen->name : "none")
                                       : kind == "drift_next" ? parts.drift.runner_up
                                       : kind == "support_next" ? parts.support.runner_up : "?";
            CHECK(kind + "=" + chosen == kind + "=" + name);
        }
    }
}
