#include <algorithm>
#include <cmath>

#include "core/number_text.hpp"
#include "fit/screw.hpp"
#include "plan/checks.hpp"
#include "plan/thread_strength.hpp"
#include "plan/words.hpp"

namespace halfturn::plan {

namespace {

constexpr double proof_share = 0.9;
constexpr double soft_steel_MPa = 235;  // a nut of unknown steel
constexpr double snugged_N = 400;  // what tightening by hand, without a wrench, puts on the stack at least
// Greased steel threads: VDI 2230's class B is 0.08 to 0.16 (from memory, not looked up); a worn one is rougher.
constexpr double friction_low = 0.08, friction_mid = 0.12, friction_high = 0.18;

double proof_MPa(const Scene& scene) {
    return fit::proof_load_N(*scene.thread, scene.property_class) / scene.thread->stress_area_exact_mm2;
}

// The beam is pinned and without the drift's help, which may read up to twice too high: half of the bending is sure.
double bends_surely_N(const Scene& scene) {
    const double proof = fit::proof_load_N(*scene.thread, scene.property_class);
    return fit::off_axis_load_N(*scene.thread, proof, scene.parts.push.off_axis_mm / 2);
}

std::optional<Stripping> strips(const Scene& scene) {
    if (!scene.thread || !scene.parts.nut.chosen) return std::nullopt;
    const double screw_MPa = scene.property_class.empty() ? soft_steel_MPa : proof_MPa(scene);
    return stripping(*scene.thread, scene.parts.nut.chosen->height_mm, screw_MPa,
                     scene.parts.nut.chosen->yield_MPa.value_or(soft_steel_MPa));
}

Check screw_load(const Scene& scene) {
    Check check{"screw-load", Grade::not_checked, "", {}, "ISO 898-1 proof loads; F/As + F e/(pi d3^3/32), a simple beam"};
    if (!scene.thread || scene.property_class.empty()) {
        check.says = "The screw's property class is not known, so nothing is said of what it carries: treat it as 4.6 until known.";
        return check;
    }
    const double e = scene.parts.push.off_axis_mm;
    const double proof = fit::proof_load_N(*scene.thread, scene.property_class);
    const double bends = fit::off_axis_load_N(*scene.thread, proof, e);
    const Band& force = scene.expected.break_loose_N;
    const double stress = fit::off_axis_stress_MPa(*scene.thread, scene.top_N, e);
    const std::string name = scene.thread->name + " " + scene.property_class;
    check.numbers = {{"proof_load_N", proof}, {"off_axis_mm", e}, {"off_axis_load_N", bends},
                     {"stress_MPa", stress}, {"proof_stress_MPa", proof_MPa(scene)}};
    check.says = "At " + newtons(scene.top_N) + " the " + name + " screw sees " + figures_text(stress, 3) + " MPa" +
                 (e > 0 ? ", bending at " + mm(e) + " from the axis counted in," : "") + " of the " +
                 figures_text(proof_MPa(scene), 3) + " MPa it is proved for (" + newtons(e > 0 ? bends : proof) + ")";
    if (scene.top_N <= proof_share * bends) {
        check.grade = Grade::fine;
        check.says += ".";
    } else if (std::min(force.low, scene.top_N) > bends_surely_N(scene)) {
        check.grade = Grade::not_this_way;
        check.says += ". Even the least force expected, " + newtons(force.low) + ", is too much for it.";
    } else {
        check.grade = Grade::with_care;
        check.says += e > 0 ? ". The beam behind that number is pessimistic, yet the screw may bend: stop if it does, and never "
                              "use a bent one."
                            : ": too near. Use a stronger screw.";
    }
    return check;
}

std::optional<Check> engagement(const Scene& scene) {
    const auto stripped = strips(scene);
    if (!stripped) return std::nullopt;
    const Nut& nut = *scene.parts.nut.chosen;
    const double full = full_nut_diameters * scene.thread->d_mm, high = scene.top_N;
    Check check{"thread-stripping", Grade::fine, "",
                {{"engaged_mm", nut.height_mm}, {"full_nut_mm", full}, {"screw_strips_N", stripped->screw_N},
                 {"nut_strips_N", stripped->nut_N}},
                "shear areas of FED-STD-H28/2B at basic sizes (from memory, not looked up); full nut 0.8 d, ISO 898-2"};
    check.says = "The nut engages " + mm(nut.height_mm) + " of thread; it would strip near " + newtons(stripped->least_N()) +
                 (nut.yield_MPa ? "" : " (nut taken as soft steel)");
    if (stripped->least_N() < high) {
        check.grade = stripped->least_N() < scene.expected.break_loose_N.low ? Grade::not_this_way : Grade::with_care;
        check.says += ", below the " + newtons(high) + " that may be needed. Use a longer nut.";
    } else if (nut.height_mm < full) {
        check.grade = Grade::with_care;
        check.says += ". That is less than a full nut, " + mm(full) + ": the screw no longer breaks before the thread strips.";
    } else {
        check.says += ", above the " + newtons(high) + " that may be needed.";
    }
    return check;
}

std::optional<Check> force_limit(const Scene& scene) {
    const auto& expected = scene.expected;
    if (!expected.limit_N) return std::nullopt;
    const Band& force = expected.break_loose_N;
    Check check{"force-limit", Grade::fine, "", {{"limit_N", *expected.limit_N}, {"expected_low_N", force.low},
                {"expected_mid_N", force.mid}, {"expected_high_N", force.high}},
                "the rig's limit against the expected band, 95 of 100 seats"};
    check.says = "Expected " + newtons(force.low) + " to " + newtons(force.high) + "; the " + expected.limit_is + " is " +
                 newtons(*expected.limit_N);
    if (force.low > *expected.limit_N) {
        check.grade = Grade::not_this_way;
        check.says += ": this rig is too small for the job.";
    } else if (force.high > *expected.limit_N) {
        check.grade = Grade::with_care;
        check.says += force.mid > *expected.limit_N ? ", and more than that is likely to be needed: be ready to stop there."
                                                    : ", which may not be enough: stop there, whatever happens.";
    } else {
        check.says += ".";
    }
    return check;
}

Check stored_energy(const Scene& scene) {
    const double force = scene.top_N;
    const double stiffness = scene.expected.stiffness_N_per_mm.low;
    const double joule = force * force / (2 * stiffness) / 1000;
    Check check{"stored-energy", joule < 1 ? Grade::fine : joule < 20 ? Grade::with_care : Grade::not_this_way, "",
                {{"energy_J", joule}, {"stiffness_N_per_mm", stiffness}, {"force_N", force}},
                std::string("F^2/2k with the softer end of the stiffness; what is much: ") + common_practice};
    check.says = "Wound up to " + newtons(force) + " the press holds " + figures_text(joule, 2) + " J, as much as a kilogram has "
                 "fallen through " + figures_text(joule / 9.81 * 1000, 2) + " mm" +
                 (joule < 1    ? ": a knock, not a blow. Hands off the drift all the same."
                  : joule < 20 ? ": let go at once it throws the drift. Keep hands and face out of the line of the screw, and put "
                                 "a cloth or a box round it."
                               : ": too much to let go by hand. Take a stiffer, shorter stack.");
    return check;
}

}  // namespace

double screw_safe_N(const Scene& scene) {
    double safe = 0;
    if (scene.thread && !scene.property_class.empty())
        safe = proof_share * fit::off_axis_load_N(*scene.thread, fit::proof_load_N(*scene.thread, scene.property_class),
                                                  scene.parts.push.off_axis_mm);
    if (const auto stripped = strips(scene)) safe = safe > 0 ? std::min(safe, stripped->least_N()) : stripped->least_N();
    return safe;
}

std::vector<Check> screw_checks(const Scene& scene) {
    std::vector<Check> list;
    if (auto check = force_limit(scene)) list.push_back(*check);
    if (scene.thread) list.push_back(screw_load(scene));
    if (auto check = engagement(scene)) list.push_back(*check);
    list.push_back(stored_energy(scene));
    return list;
}

std::optional<Torque> torque_for(const Scene& scene) {
    if (!scene.thread || !scene.parts.nut.chosen) return std::nullopt;
    const Nut& nut = *scene.parts.nut.chosen;
    const auto known = scene.inventory.thread_friction;
    Torque out;
    out.friction_low = known ? *known / 1.2 : friction_low;
    out.friction = known.value_or(friction_mid);
    out.friction_high = known ? *known * 1.2 : friction_high;
    out.collar_friction = nut.collar_friction.value_or(out.friction);
    const auto per_N = [&](double friction) {
        return fit::raise_torque_Nm(fit::screw_of(*scene.thread, friction), 1) +
               fit::collar_torque_Nm(1, nut.collar_friction.value_or(friction), nut.collar_mean_diameter_mm);
    };
    const Band& force = scene.expected.break_loose_N;
    out.expected_mid_Nm = per_N(out.friction) * force.mid;
    out.expected_high_Nm = per_N(out.friction) * force.high;
    // Enough for the highest expected force, yet a slippery thread must not carry it past what rig and screw bear.
    double safe = screw_safe_N(scene);
    if (const auto limit = scene.expected.limit_N) safe = safe > 0 ? std::min(safe, *limit) : *limit;
    out.set_Nm = out.expected_high_Nm;
    if (safe > 0) {
        out.limit_Nm = per_N(out.friction) * safe;
        out.set_Nm = std::min(out.set_Nm, per_N(out.friction_low) * safe);
    }
    if (const auto& wrench = scene.inventory.wrench; wrench && wrench->step_Nm)
        out.set_Nm = std::floor(out.set_Nm / *wrench->step_Nm + 1e-9) * *wrench->step_Nm;
    out.set_low_N = out.set_Nm / per_N(out.friction_high);
    out.set_high_N = out.set_Nm / per_N(out.friction_low);
    return out;
}

std::vector<Check> torque_checks(const Scene& scene, const Torque& torque) {
    std::vector<Check> list;
    Check check{"handle-torque", Grade::fine, "",
                {{"set_Nm", torque.set_Nm}, {"clicks_from_N", torque.set_low_N}, {"clicks_to_N", torque.set_high_N},
                 {"expected_mid_Nm", torque.expected_mid_Nm}, {"expected_high_Nm", torque.expected_high_Nm},
                 {"thread_friction", torque.friction}, {"collar_friction", torque.collar_friction}},
                "power screw with collar (Shigley's Mechanical Engineering Design, ch. 8); friction of greased threads from "
                "memory, not looked up"};
    if (torque.limit_Nm) check.numbers.emplace_back("limit_Nm", *torque.limit_Nm);
    check.says = "The expected force takes about " + figures_text(torque.expected_mid_Nm, 2) + " Nm at the handle, " +
                 figures_text(torque.expected_high_Nm, 2) + " at its high end" +
                 (torque.limit_Nm ? ", and the limit is reached near " + figures_text(*torque.limit_Nm, 2) : "") +
                 ". Set your wrench to " + newton_metres(torque.set_Nm) + ": it clicks somewhere between " +
                 newtons(torque.set_low_N) + " and " + newtons(torque.set_high_N) +
                 ", as the thread is rough or slippery. Force is read, never inferred from torque, where there is a load cell.";
    if (torque.set_low_N < scene.expected.break_loose_N.mid) check.grade = Grade::note;
    list.push_back(check);
    if (const auto& wrench = scene.inventory.wrench) {
        Check scale{"wrench-scale", Grade::fine, "", {{"set_Nm", torque.set_Nm}, {"low_Nm", wrench->low_Nm},
                    {"high_Nm", wrench->high_Nm}}, common_practice};
        const std::string span = number_text(wrench->low_Nm) + " to " + number_text(wrench->high_Nm) + " Nm";
        const std::string set = newton_metres(torque.set_Nm);
        if (torque.set_Nm < wrench->low_Nm && scene.top_N < snugged_N) {
            scale.grade = Grade::note;
            scale.says = "Leave the wrench: " + newtons(scene.top_N) + " is what tightening by hand gives. Watch the force.";
        } else if (torque.set_Nm < wrench->low_Nm) {
            scale.grade = Grade::with_care;
            scale.says = set + " lies below your wrench's scale, " + span +
                         ": it would not click in time. Turn by hand and watch the force, or take a smaller wrench.";
        } else if (torque.set_Nm > wrench->high_Nm) {
            scale.grade = Grade::with_care;
            scale.says = set + " lies above your wrench's scale, " + span + ": take a larger one.";
        } else {
            scale.says = set + " lies on your wrench's scale, " + span + ".";
        }
        list.push_back(scale);
    }
    return list;
}

}  // namespace halfturn::plan
