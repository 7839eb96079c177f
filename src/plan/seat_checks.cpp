#include <algorithm>
#include <cmath>

#include "core/failure.hpp"
#include "core/number_text.hpp"
#include "fit/materials.hpp"
#include "plan/checks.hpp"
#include "plan/spacer_preload.hpp"
#include "plan/words.hpp"

namespace halfturn::plan {

namespace {

constexpr double room_C = 20;
constexpr double seals_bear_C = 100;   // nitrile rubber and its usual grease, bearing makers' catalogues, from memory
constexpr double rings_bear_C = 120;   // hardened rings keep their size up to here, the same
constexpr double tempers_bear_C = 120;  // 6061-T6 and its like lose nothing in an hour below this, from memory

std::optional<Check> balls(const Scene& scene) {
    const auto& facts = scene.facts;
    const bool drift_known = scene.parts.drift.chosen.has_value();
    if (!drift_known && scene.inventory.given) return std::nullopt;
    if (!drift_known && facts.work == Work::in)
        return Check{"balls", Grade::note, "Push on the outer ring, with a disc wider than " + mm(scene.parts.faces.outer_from_mm) +
                     ", so that nothing goes through the balls.", {}, common_practice};
    if (drift_known && scene.parts.push.on != Push::On::inner_ring) {
        return Check{"balls", Grade::fine, "The drift pushes on the outer ring, so nothing goes through the balls.", {}, ""};
    }
    Check check{"balls", Grade::not_checked, "", {},
                "bearing makers' catalogues: axial load up to 0.5 C0, 0.25 C0 for light series and bores up to 12 mm"};
    if (facts.axial_limit_N <= 0) {
        check.says = "The push goes through the balls, and this bearing's static rating is not known: do not refit it.";
        return check;
    }
    const Band& force = scene.expected.break_loose_N;
    const double limit = facts.axial_limit_N;
    check.numbers = {{"axial_limit_N", limit}, {"expected_mid_N", force.mid}, {"expected_high_N", force.high}};
    check.says = "The force goes through the balls, and above " + newtons(limit) + " they dent their races; expected are " +
                 newtons(force.low) + " to " + newtons(force.high);
    if (force.high <= limit) {
        check.grade = Grade::fine;
        check.says += ".";
    } else if (facts.work == Work::in) {
        check.grade = force.low > limit ? Grade::not_this_way : Grade::with_care;
        check.says += ". Press on the outer ring instead, with a drift that reaches it.";
    } else {
        check.grade = Grade::note;
        check.says += force.mid > limit ? ". Do not refit this bearing." : ". Refit this bearing only if the force stayed below.";
    }
    return check;
}

std::optional<Check> housing_yield(const Scene& scene) {
    const auto& facts = scene.facts;
    if (facts.work != Work::in || facts.hub_yield_MPa <= 0) return std::nullopt;
    // At the seat hoop tension and contact pressure add up (von Mises, plane stress).
    const auto stress = [&](double um) {
        const double share = scene.expected.interference_um.high > 0 ? um / scene.expected.interference_um.high : 0;
        const double hoop = facts.seat.hoop_MPa_per_um * std::max(0.0, um);
        const double pressure = scene.expected.pressure_MPa.high * share;
        return std::sqrt(hoop * hoop + hoop * pressure + pressure * pressure);
    };
    const double mid = stress(scene.expected.interference_um.mid), high = stress(scene.expected.interference_um.high);
    Check check{"housing-yield", Grade::fine, "",
                {{"stress_mid_MPa", mid}, {"stress_high_MPa", high}, {"yield_MPa", facts.hub_yield_MPa},
                 {"hoop_high_MPa", facts.seat.hoop_MPa_per_um * std::max(0.0, scene.expected.interference_um.high)}},
                "hoop stress by the housing's section, von Mises; yield from handbooks"};
    check.says = "Pressed in, the housing's wall sees " + figures_text(mid, 2) + " MPa, " + figures_text(high, 2) +
                 " at the tight end, of " + figures_text(facts.hub_yield_MPa, 3) + " MPa at yield";
    if (high <= facts.hub_yield_MPa) {
        check.says += ".";
    } else if (mid <= facts.hub_yield_MPa) {
        check.grade = Grade::with_care;
        check.says += ": measure bore and ring before pressing.";
    } else {
        check.grade = Grade::not_this_way;
        check.says += ": it would stretch for good. Measure bore and ring; the fit or the part is wrong.";
    }
    return check;
}

std::optional<Check> play_left(const Scene& scene) {
    if (scene.facts.work != Work::in) return std::nullopt;
    const Band& left = scene.expected.clearance_left_um;
    Check check{"play-left", Grade::fine, "", {{"low_um", left.low}, {"mid_um", left.mid}, {"high_um", left.high}},
                "ISO 5753-1 clearance less what the fit takes from the raceway"};
    check.says = "Of the bearing's radial play " + fixed_text(left.low, 0) + " to " + fixed_text(left.high, 0) +
                 " µm are left, most likely " + fixed_text(left.mid, 0);
    if (left.low >= 0) {
        check.says += ".";
    } else if (left.mid >= 0) {
        check.grade = Grade::with_care;
        check.says += ": it may run tight. Turn it by hand afterwards.";
    } else {
        check.grade = Grade::not_this_way;
        check.says += ": it would run preloaded and hot. Take one with more clearance (C3), or check the fit.";
    }
    return check;
}

std::optional<Check> heat(const Scene& scene) {
    const auto& facts = scene.facts;
    const double tight_um = scene.expected.interference_um.high;
    if (scene.job.housing.material.empty() || tight_um <= 0) return std::nullopt;
    const fit::Material hub = fit::find_material(scene.job.housing.material);
    // Going in only the housing is warm; coming out the ring warms with it.
    const double alpha = hub.alpha_per_K - (facts.work == Work::out ? fit::ring_steel().alpha_per_K : 0);
    const double um_per_K = 1000 * alpha * facts.D_mm;
    Check check{"heat", Grade::note, "", {{"grows_um_per_K", um_per_K}, {"interference_high_um", tight_um}},
                "expansion from handbooks; limits of seals, rings and temper from memory, not looked up"};
    if (um_per_K < 0.02) {
        check.says = "Heat would not free this fit: the housing grows no more than the ring.";
        return check;
    }
    const double needed_C = room_C + tight_um / um_per_K;
    check.numbers.emplace_back("free_at_C", needed_C);
    check.says = std::string(facts.work == Work::in ? "With only the housing warmed" : "Warmed together") +
                 " the tightest fit expected would be free at about " + fixed_text(std::ceil(needed_C), 0) + " °C";
    if (needed_C <= seals_bear_C)
        check.says += facts.work == Work::in ? ", which housing, seals and grease bear (" + fixed_text(seals_bear_C, 0) + " °C)."
                                             : ", which seals and grease bear; warmth alone lowers the force.";
    else
        check.says += ", more than seals and grease bear (" + fixed_text(seals_bear_C, 0) + " °C), rings and an alloy's temper (" +
                      fixed_text(std::min(rings_bear_C, tempers_bear_C), 0) +
                      " °C): warm it to 80 °C at most, which takes " + fixed_text((80 - room_C) * um_per_K, 0) + " µm off.";
    return check;
}

// An answer from nearly nothing must not read like one from measurements.
std::optional<Check> little_known(const Scene& scene) {
    const auto& fit = scene.job.seat_fit;
    const bool no_fit = fit.tolerance_class.empty() && !fit.bore_mm, no_surface = scene.facts.surface == Surface::unknown;
    const bool no_metal = scene.job.housing.material.empty();
    if (!no_fit && !no_surface) return std::nullopt;
    std::string missing;
    const auto add = [&](bool is, const char* what) {
        if (is) missing += (missing.empty() ? "" : ", ") + std::string(what);
    };
    add(no_fit, "the fit");
    add(no_metal, "the housing's metal");
    add(no_surface, "whether the seat is dry, oiled, bonded or corroded");
    const Band& force = scene.expected.break_loose_N;
    return Check{"little-known", no_fit && no_surface ? Grade::with_care : Grade::note,
                 "Not known: " + missing + ". So the force may be anything from " + newtons(force.low) + " to " + newtons(force.high) +
                     (no_surface ? ", and several times that if it is bonded. " : ". ") + scene.expected.widest_input,
                 {{"expected_low_N", force.low}, {"expected_high_N", force.high}}, "the expectation's bands"};
}

std::optional<Check> loose(const Scene& scene) {
    const double chance = scene.expected.loose_probability;
    if (chance <= 0.25) return std::nullopt;
    Check check{"loose-seat", scene.facts.work == Work::in ? Grade::with_care : Grade::note,
                "With a chance of " + percent(chance) + " this seat does not grip at all", {{"loose_probability", chance}},
                "the expectation's bands"};
    check.says += scene.facts.work == Work::in ? ": measure bore and ring. A worn seat is not mended by pressing harder."
                                               : ": it may come out by hand. Measure the seat before a new one goes in.";
    return check;
}

std::optional<Check> surface(const Scene& scene) {
    if (scene.facts.surface == Surface::bonded)
        return Check{"bonded", Grade::with_care,
                     "The seat is bonded: it holds several times the dry force until the bond breaks, then almost nothing. Warm it "
                     "first, as the compound's maker says, and expect a sudden release.",
                     {{"expected_high_N", scene.expected.break_loose_N.high}}, "retaining compounds' data sheets, from memory"};
    if (scene.facts.surface == Surface::corroded)
        return Check{"corroded", Grade::with_care,
                     "The seat is corroded: let penetrating oil work overnight, and stop at the limit whatever happens.",
                     {}, common_practice};
    return std::nullopt;
}

std::optional<Check> spacer_length(const Scene& scene) {
    const auto& spacer = scene.job.spacer;
    if (!spacer || !spacer->length_mm || !spacer->shoulders_mm) return std::nullopt;
    const double error_um = 1000 * (*spacer->length_mm - *spacer->shoulders_mm);
    fit::BallPath path = fit::ball_path(scene.facts.ring);
    // The play a pair of new bearings keeps in these seats.
    path.clearance_um = std::max(0.0, scene.expected.clearance_left_um.mid);
    const SpacerPreload loaded = spacer_preload(path, error_um);
    Check check{"spacer-length", Grade::fine, "",
                {{"error_um", error_um}, {"play_um", loaded.play_um}, {"preload_N", loaded.preload_N}},
                "contact of balls and grooves by Hertz, rigid rings: an upper bound (Harris, Rolling Bearing Analysis)"};
    check.says = "The spacer is " + fixed_text(std::abs(error_um), 0) + " µm " + (error_um < 0 ? "shorter" : "longer") +
                 " than its shoulders stand apart; the pair's axial play takes up " + fixed_text(loaded.play_um, 0) + " µm";
    const double limit = scene.facts.axial_limit_N;
    if (loaded.preload_N <= 0) {
        check.says += ", so clamping it does not load the balls.";
    } else {
        check.grade = limit > 0 && loaded.preload_N > limit ? Grade::not_this_way : Grade::with_care;
        check.says += ", so clamping it preloads each bearing by up to " + newtons(loaded.preload_N) +
                      (check.grade == Grade::not_this_way ? ", which dents the races. Get the right spacer."
                                                          : ". Measure again, and turn the axle by hand after clamping.");
    }
    return check;
}

}  // namespace

std::vector<Check> seat_checks(const Scene& scene) {
    std::vector<Check> list;
    for (auto* one : {&balls, &housing_yield, &play_left, &heat, &little_known, &loose, &surface, &spacer_length})
        if (auto check = (*one)(scene)) list.push_back(std::move(*check));
    return list;
}

}  // namespace halfturn::plan
