// A table of set-ups with known answers, setups.txt: add a block and it is tested.
#include <catch2/catch.hpp>
#include <algorithm>
#include <string>

#include "plan/plan.hpp"
#include "plan/setup_cases.hpp"

using namespace halfturn;

namespace {

bool has(const plan::Plan& plan, const std::string& id, bool reason) {
    return std::any_of(plan.checks.begin(), plan.checks.end(), [&](const plan::Check& check) {
        return check.id == id && (check.grade >= plan::Grade::with_care) == reason;
    });
}

}  // namespace

TEST_CASE("set-ups with known answers") {
    const auto cases = read_setup_cases();
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
