#include "plan/plan.hpp"

#include <algorithm>
#include <iterator>

#include "plan/checks.hpp"

namespace halfturn::plan {

namespace {

bool failed(const Plan& plan, std::initializer_list<std::string_view> ids) {
    return std::any_of(plan.checks.begin(), plan.checks.end(), [&](const Check& check) {
        return check.grade >= Grade::with_care && std::find(ids.begin(), ids.end(), check.id) != ids.end();
    });
}

// What else there is, for what stands in the way.
std::vector<std::string> other_ways(const Plan& plan) {
    std::vector<std::string> ways;
    if (plan.answer == Answer::go_ahead) return ways;
    const bool out = plan.facts.work == Work::out;
    if (out && failed(plan, {"exposed-ring", "drift", "edge-stress", "screw-load"})) {
        ways.emplace_back("A blind puller that spreads inside the bearing's bore needs no room behind it.");
        ways.emplace_back("A slide hammer on such a puller, for small forces only: its blows go through the balls.");
    }
    if (failed(plan, {"force-limit", "screw-load", "bonded", "corroded", "stored-energy", "thread-stripping"}))
        ways.emplace_back("Heat: see the check of that name for what it gains and what seals, grease and alloy bear.");
    if (!out && failed(plan, {"balls", "drift"}))
        ways.emplace_back("A drift or ring that pushes on the outer ring alone; an old bearing's outer ring, ground down, serves.");
    if (failed(plan, {"support", "support-stress", "tilt"}))
        ways.emplace_back("A support made for this housing: turned to clear the bearing and to stand on square ground.");
    if (failed(plan, {"housing-yield", "play-left", "loose-seat", "spacer-length"}))
        ways.emplace_back("Measure bore, ring and spacer, and compare with the part's drawing before any force is used.");
    ways.emplace_back("The part maker's own way, which comes before this page.");
    return ways;
}

}  // namespace

std::string_view answer_id(Answer answer) {
    return answer == Answer::go_ahead ? "go-ahead" : answer == Answer::with_care ? "with-care" : "not-this-way";
}
std::string answer_words(const Plan& plan) {
    if (plan.answer == Answer::not_this_way) return "not this way";
    const bool whole = std::none_of(plan.checks.begin(), plan.checks.end(),
                                    [](const Check& check) { return check.grade == Grade::not_checked; });
    return std::string(plan.answer == Answer::go_ahead ? "go ahead" : "with care") + (whole ? "" : ", as far as it was checked");
}
int answer_exit_status(Answer answer) { return 10 * static_cast<int>(answer); }

std::string_view grade_id(Grade grade) {
    switch (grade) {
        case Grade::fine: return "fine";
        case Grade::note: return "note";
        case Grade::not_checked: return "not-checked";
        case Grade::with_care: return "with-care";
        case Grade::not_this_way: break;
    }
    return "not-this-way";
}

Plan make_plan(const JobFile& job, const RigFile* rig, const Inventory& inventory, std::uint64_t seed) {
    Plan plan;
    plan.inventory_given = inventory.given;
    plan.parts = choose_parts(curve::facts_from(job, rig, fit::StiffnessMethod::correction), job, rig, inventory);

    // The force is expected with the drift and the screw that will be used.
    JobFile as_planned = job;
    if (plan.parts.push.off_axis_mm > 0) as_planned.drift.reach_mm = plan.parts.push.off_axis_mm;
    RigFile with_screw = rig ? *rig : RigFile{};
    if (plan.parts.screw.chosen) {
        if (with_screw.screw.thread.empty() && !with_screw.screw.pitch_mm) with_screw.screw.thread = plan.parts.screw.chosen->thread;
        if (!plan.parts.screw.chosen->property_class.empty())
            with_screw.screw.property_class = plan.parts.screw.chosen->property_class;
    }
    plan.facts = curve::facts_from(as_planned, &with_screw);
    plan.expectation = curve::expect(plan.facts, seed);
    plan.limit_N = plan.expectation.limit_N;
    plan.limit_is = plan.expectation.limit_is;

    Scene scene{job, rig, inventory, plan.facts, plan.expectation, plan.parts, std::nullopt, "", plan.expectation.break_loose_N.high};
    for (const auto& limit : {plan.facts.force_limit_N, plan.facts.cell_capacity_N})
        if (limit) scene.top_N = std::min(scene.top_N, *limit);
    if (plan.parts.screw.chosen) {
        scene.thread = fit::find_thread(plan.parts.screw.chosen->thread);
        scene.property_class = plan.parts.screw.chosen->property_class;
    }
    if (scene.property_class.empty()) scene.property_class = with_screw.screw.property_class;

    if (const double safe = screw_safe_N(scene); safe > 0 && (!plan.limit_N || safe < *plan.limit_N)) {
        plan.limit_N = safe;
        plan.limit_is = "load from which the screw may bend or its thread give";
    }

    for (auto* checks : {&part_checks, &screw_checks, &seat_checks})
        std::ranges::move((*checks)(scene), std::back_inserter(plan.checks));
    if (!rig)
        plan.checks.push_back({"rig", Grade::not_checked,
                               "No rig file was given, so its force limit, stiffness and instruments are not counted in.", {}, ""});
    if ((plan.torque = torque_for(scene)))
        std::ranges::move(torque_checks(scene, *plan.torque), std::back_inserter(plan.checks));
    std::ranges::stable_sort(plan.checks, [](const Check& one, const Check& other) { return one.grade > other.grade; });
    const Grade worst = plan.checks.front().grade;
    plan.answer = worst == Grade::not_this_way ? Answer::not_this_way
                  : worst == Grade::with_care  ? Answer::with_care
                                               : Answer::go_ahead;
    plan.instead = other_ways(plan);
    plan.steps = order_of_work(plan, job);
    return plan;
}

}  // namespace halfturn::plan
