#include <algorithm>
#include <cmath>

#include "core/number_text.hpp"
#include "fit/materials.hpp"
#include "plan/checks.hpp"
#include "plan/words.hpp"

namespace halfturn::plan {

namespace {

constexpr double exposed_enough_mm = 1.0;   // of the inner ring, from its bore's edge
constexpr double exposed_least_mm = 0.6;    // below this only the chamfer is caught
constexpr double fine_tilt_mrad = 2, most_tilt_mrad = 10;
constexpr double least_foot_mm = 0.5;       // wall of a support that still stands
constexpr double drift_yield_MPa = 350;     // unhardened steel, when the inventory does not say

bool past_spacer(const Scene& scene) {
    return scene.facts.work == Work::out && scene.facts.access == Access::past_spacer;
}

template <class Part>
void missing(std::vector<Check>& list, const char* id, const Choice<Part>& choice, Grade grade) {
    if (!choice.chosen) list.push_back({id, grade, "No " + std::string(id) + " here suits: " + choice.why + ".", {}, common_practice});
}

Check exposed_ring(const Scene& scene) {
    Check check{"exposed-ring", Grade::fine, "", {}, std::string("about 1 mm is needed: ") + common_practice};
    const auto to = exposed_to_mm(scene.facts, scene.job);
    if (!to) {
        check.grade = Grade::with_care;
        check.says = "How far the spacer can be pushed aside is not known: measure it (spacer moves_mm in the job). About " +
                     mm(exposed_enough_mm) + " of the inner ring must show.";
        return check;
    }
    const double width = *to - scene.facts.d_mm / 2;
    check.numbers = {{"exposed_mm", width}, {"needed_mm", exposed_enough_mm}};
    check.says = "With the spacer pushed aside " + mm(width) + " of the inner ring shows";
    if (width >= exposed_enough_mm) {
        check.says += ", and about " + mm(exposed_enough_mm) + " is needed.";
    } else if (width >= exposed_least_mm) {
        check.grade = Grade::with_care;
        check.says += ", less than the " + mm(exposed_enough_mm) + " that is needed to be safe: the drift may slip off.";
    } else {
        check.grade = Grade::not_this_way;
        check.says += ": the drift would catch little more than the chamfer and slip off under load.";
    }
    return check;
}

Check edge_stress(const Scene& scene) {
    const Push& push = scene.parts.push;
    const double yield = scene.parts.drift.chosen->yield_MPa.value_or(drift_yield_MPa);
    const double high = scene.top_N, stress = high / push.area_mm2;
    Check check{"edge-stress", Grade::fine, "", {{"contact_area_mm2", push.area_mm2}, {"stress_MPa", stress},
                {"drift_yield_MPa", yield}, {"off_axis_mm", push.off_axis_mm}},
                "area of two circles; a local contact bears about three times the yield stress before it flows (Tabor, The "
                "Hardness of Metals, from memory, not looked up)"};
    check.says = "The drift bears on " + figures_text(push.area_mm2, 2) + " mm2, so " + newtons(high) + " presses with " +
                 figures_text(stress, 2) + " MPa, " + figures_text(stress / yield, 2) + " times the yield of the drift" +
                 (scene.parts.drift.chosen->yield_MPa ? "" : " (taken as soft steel)");
    if (stress <= yield) {
        check.says += ".";
    } else if (stress <= 3 * yield) {
        check.grade = Grade::with_care;
        check.says += ": its edge will mark. Look at it before each use, and expect it to settle.";
    } else {
        check.grade = Grade::not_this_way;
        check.says += ": its edge would flow and slip off. Use a harder drift or one that reaches farther.";
    }
    return check;
}

std::optional<Check> support_stress(const Scene& scene) {
    if (!scene.parts.support.chosen) return std::nullopt;
    Check check{"support-stress", Grade::not_checked, "", {}, "mean pressure against the yield stress, handbook values"};
    if (!scene.parts.leans_on) {
        check.says = "What the support leans on was not given: look that it stands on solid housing, off retaining rings, seals "
                     "and threads (ground and keep_off in the job).";
        return check;
    }
    const double area = scene.parts.leans_on->area_mm2(), high = scene.top_N, stress = high / area;
    check.numbers = {{"area_mm2", area}, {"stress_MPa", stress}};
    check.says = "The support leans on " + figures_text(area, 3) + " mm2: " + figures_text(stress, 2) + " MPa at " + newtons(high);
    const double yield = scene.facts.hub_yield_MPa;
    if (yield <= 0) {
        check.says += "; the housing's yield is not known.";
        return check;
    }
    check.numbers.emplace_back("housing_yield_MPa", yield);
    const double share = stress / yield;
    check.grade = share <= 0.5 ? Grade::fine : share <= 1 ? Grade::with_care : Grade::not_this_way;
    check.says += ", " + percent(share) + " of the housing's yield" +
                  (share <= 0.5 ? "." : share <= 1 ? ": it may leave a mark; put a flat ring under it."
                                                   : ": it would sink in. Use a wider support or spread the load.");
    return check;
}

std::optional<Check> tilt(const Scene& scene) {
    if (!scene.parts.support.chosen) return std::nullopt;
    const Support& support = *scene.parts.support.chosen;
    Check check{"tilt", Grade::not_checked, "", {}, common_practice};
    if (!support.squareness_mm && !scene.job.ground.flatness_mm) {
        check.says = "How square the support and its ground are was not given: see that the screw stands straight.";
        return check;
    }
    // The foot tips over the width it stands on.
    const double width = scene.parts.leans_on ? scene.parts.leans_on->outer_mm : support.outer_diameter_mm;
    const double from_support = 1000 * support.squareness_mm.value_or(0) / support.outer_diameter_mm;
    const double from_ground = 1000 * scene.job.ground.flatness_mm.value_or(0) / width;
    const double mrad = from_support + from_ground;
    const double over_ring_um = mrad * scene.facts.B_mm;
    check.numbers = {{"tilt_mrad", mrad}, {"over_ring_um", over_ring_um}, {"allowed_mrad", fine_tilt_mrad}};
    check.grade = mrad <= fine_tilt_mrad ? Grade::fine : mrad <= most_tilt_mrad ? Grade::with_care : Grade::not_this_way;
    check.says = "At worst the press stands " + fixed_text(mrad, 1) + " mrad askew, " + fixed_text(over_ring_um, 0) +
                 " µm over the ring's width" +
                 (check.grade == Grade::fine ? "."
                  : check.grade == Grade::with_care
                      ? "; up to " + number_text(fine_tilt_mrad) + " mrad is good. Turn the support until the screw stands straight."
                      : ": the ring would cock. Find square ground, or dress the face.");
    return check;
}

// Before a support is chosen: whether the zones to keep off leave any ground for one.
std::optional<Check> no_ground_left(const Scene& scene) {
    const auto ground = ground_of(scene.facts, scene.job);
    if (!ground || scene.job.keep_off.empty()) return std::nullopt;
    std::vector<Annulus> zones;
    for (const auto& zone : scene.job.keep_off) zones.push_back({zone.inner_diameter_mm, zone.outer_diameter_mm});
    std::sort(zones.begin(), zones.end(), [](const Annulus& one, const Annulus& other) { return one.inner_mm < other.inner_mm; });
    double widest = 0, from = ground->inner_mm;
    for (const Annulus& zone : zones) {
        widest = std::max(widest, std::min(zone.inner_mm, ground->outer_mm) - from);
        from = std::max(from, zone.outer_mm);
    }
    widest = std::max(widest, ground->outer_mm - from);
    if (widest >= 2 * least_foot_mm) return std::nullopt;
    return Check{"support", Grade::not_this_way,
                 "Between " + mm(ground->inner_mm) + " and " + mm(ground->outer_mm) + " the zones to keep off leave no ground for a support.",
                 {{"widest_mm", std::max(0.0, widest) / 2}}, common_practice};
}

}  // namespace

std::vector<Check> part_checks(const Scene& scene) {
    std::vector<Check> list;
    const PartChoice& parts = scene.parts;
    if (scene.inventory.given) {
        missing(list, "drift", parts.drift, Grade::not_this_way);
        missing(list, "support", parts.support, Grade::not_this_way);
        missing(list, "screw", parts.screw, Grade::not_this_way);
        missing(list, "plug", parts.plug, scene.facts.work == Work::in ? Grade::with_care : Grade::note);
    } else {
        list.push_back({"inventory", Grade::not_checked,
                        "What the bench owns was not given (--inventory), so no part is chosen and none is checked. The job " + parts.drift.why +
                            "; it " + parts.plug.why + "; it " + parts.support.why + ".",
                        {}, common_practice});
        if (auto check = no_ground_left(scene)) list.push_back(*check);
    }
    if (past_spacer(scene)) list.push_back(exposed_ring(scene));
    if (scene.facts.work == Work::out && scene.facts.access == Access::unknown)
        list.push_back({"access", Grade::with_care,
                        "It is not known whether the drift can push straight on the ring. Look through the bore: past a spacer it "
                        "needs a drift with a reach, and more care.",
                        {}, common_practice});
    if (parts.drift.chosen) {
        list.push_back(edge_stress(scene));
        if (parts.push.on == Push::On::inner_ring && 2 * parts.push.edge_mm > parts.faces.inner_to_mm + 0.05)
            list.push_back({"seal", Grade::with_care,
                            "The drift is wider than the inner ring's face (" + mm(parts.faces.inner_to_mm) +
                                "), so it presses on the seal: this bearing is not to be refitted.",
                            {{"drift_mm", 2 * parts.push.edge_mm}, {"face_mm", parts.faces.inner_to_mm}},
                            "a maker's table of shoulder diameters"});
    }
    if (auto check = support_stress(scene)) list.push_back(*check);
    if (auto check = tilt(scene)) list.push_back(*check);
    if (parts.screw.chosen && parts.screw.chosen->length_mm <= 0)
        list.push_back({"screw-length", Grade::not_checked,
                        parts.screw_needs_mm > 0 ? "The screw's length is not given: the stack takes " + mm(parts.screw_needs_mm) +
                                                       (parts.screw_need_is_least ? " at least." : ".")
                                                 : "The screw's length is not given: see that it reaches through the whole stack.",
                        {}, common_practice});
    else if (parts.screw.chosen && parts.screw_need_is_least)
        list.push_back({"screw-length", Grade::not_checked,
                        "The screw must reach through the whole housing: " + mm(parts.screw_needs_mm) +
                            " and what lies between the seats (spacer length_mm in the job).",
                        {{"least_mm", parts.screw_needs_mm}, {"have_mm", parts.screw.chosen->length_mm}},
                        common_practice});
    return list;
}

}  // namespace halfturn::plan
