#include "practice/scenario.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "core/failure.hpp"
#include "core/nearest_word.hpp"

namespace halfturn::practice {
namespace {

constexpr double free_for_ever_N = 1e9;
constexpr std::array<std::string_view, 6> mishap_names = {"none",     "cable-out", "spikes",
                                                          "unit-key", "zero-key",  "caliper-slips"};

// An ordinary job: a 28 mm ring 7 mm wide, dry, about 20 um too big for its aluminium hub.
void draw_ordinary(Scenario& s, Random& random, const Wishes& wishes) {
    s.press.pitch_mm = wishes.pitch_mm.value_or(1.25);
    s.press.stiffness_N_per_mm = wishes.stiffness_N_per_mm.value_or(random.between(17000, 23000));
    s.press.slack_mm = wishes.slack_mm.value_or(random.between(0.15, 0.5));
    s.press.toe_mm = random.between(0.008, 0.02);
    s.press.relaxing_share = random.between(0.015, 0.04);
    s.press.slip_gap_mm = random.between(0.1, 0.3);

    s.seat.length_mm = wishes.seat_length_mm.value_or(7);
    std::vector<std::pair<double, double>> grip;
    for (int i = 0; i <= 14; ++i) grip.emplace_back(s.seat.length_mm * i / 14, random.between(0.93, 1.07));
    s.seat.grip_per_mm = Table(std::move(grip));
    s.seat.grip_N = wishes.grip_N.value_or(random.between(4500, 5100));
    s.seat.edge_share = random.between(0.15, 0.25);
    s.seat.static_friction = wishes.friction.value_or(random.between(0.13, 0.15));
    s.seat.static_over_kinetic = random.between(1.15, 1.45);
    s.seat.regrip = random.between(0.02, 0.06);
    s.seat.tightening = random.between(0.6, 1.1);
    s.seat.mass_kg = random.between(0.3, 0.5);
    s.seat.damping_Ns_per_mm = random.between(2.5, 5);
    // Hardly any pull is quite straight: a little pivoting before release.
    s.seat.knee_N = random.between(0.65, 0.9) * lets_go_at_N(s.seat);
    s.seat.pivot_N_per_mm = random.between(15000, 40000);

    const double careful = wishes.hand_turns_per_s.value_or(random.between(0.085, 0.14));
    s.hand.careful_turns_per_s = careful;
    s.hand.careful_pause_s = random.between(0.35, 0.8);
    s.hand.brisk_turns_per_s = random.between(0.55, 0.7) * wishes.brisk;
    s.hand.brisk_pause_s = random.between(0.15, 0.25) / wishes.brisk;
    s.hand.notices_s = random.between(0.3, 0.55);
    const double lets_go_N = lets_go_at_N(s.seat);
    s.hand.heavy_N = 1.3 * lets_go_N;
    s.hand.gives_up_N = std::max(s.hand.gives_up_N, 1.6 * lets_go_N);
    s.hand.gives_up_turns = std::max(1.5, 3 * lets_go_N / (s.press.stiffness_N_per_mm * s.press.pitch_mm));
    s.tweak_zero_mm = random.chance(0.5) ? random.between(-0.02, 0.02) : random.between(3, 90);
}

// Pressing in pushes straight on the outer ring: no wedging, and the seat has been smoothed by the ring before.
void turn_to_pressing_in(Scenario& s, Random& random, const Wishes& wishes) {
    s.seat.work = Work::in;
    s.press.slack_mm = wishes.slack_mm.value_or(random.between(0.08, 0.25));
    s.seat.tightening = 0;
    s.seat.knee_N = 0;
    s.seat.static_friction = wishes.friction.value_or(random.between(0.115, 0.135));
    s.seat.static_over_kinetic = random.between(1.05, 1.15);
    s.seat.chamfer_mm = random.between(0.4, 0.7);
    s.seat.shoulder_N_per_mm = random.between(60000, 120000);
    s.hand.careful_turns_per_s = wishes.hand_turns_per_s.value_or(random.between(0.07, 0.1));
    s.hand.brisk_turns_per_s = random.between(0.5, 0.6) * wishes.brisk;
    s.hand.notices_s = random.between(0.25, 0.4);
    s.hand.gives_up_N = 4700;
}

void arrange_clean(Scenario&, Random&) {}

void arrange_loose(Scenario& s, Random& random) {
    s.seat.grip_N *= random.between(0.08, 0.22);
    s.seat.knee_N = 0;
}

void arrange_bonded(Scenario& s, Random& random) {
    s.seat.bond_N = random.between(6000, 9500);
    s.hand.gives_up_N = 9000;
    s.hand.heavy_N = 1500;
}

void arrange_seized(Scenario& s, Random& random) {
    s.seat.bond_N = free_for_ever_N;
    s.seat.knee_N = 0;
    s.hand.gives_up_N = random.between(5300, 6200);
    s.hand.gives_up_turns = 0.75;
}

void arrange_tilting(Scenario& s, Random& random) {
    const double straight_N = lets_go_at_N(s.seat);
    const double knee_share = random.between(0.5, 0.65);
    const double rises_to = random.chance(0.25) ? 12 : random.between(2.4, 3.4);  // or it cocks for good
    s.press.stiffness_N_per_mm *= random.between(0.5, 0.75);  // a screw that bends is a soft one
    s.seat.knee_N = knee_share * straight_N;
    s.seat.pivot_N_per_mm = random.between(7000, 12000);
    const double pivots_mm = (rises_to - knee_share) * straight_N / s.seat.pivot_N_per_mm;
    s.seat.cocking_per_mm = (rises_to - 1) / pivots_mm;
    s.hand.heavy_N = 2 * straight_N;
}

void arrange_galled(Scenario& s, Random& random) {
    const double release_N = lets_go_at_N(s.seat);
    std::vector<std::pair<double, double>> drag{{0, 0}};
    double place = random.between(0.5, 1.3), peak = random.between(0.5, 0.8);
    const double most = random.between(1.4, 2.2);
    while (place < s.seat.length_mm - 1) {
        drag.emplace_back(place, 0.45 * peak * release_N);
        place += random.between(0.25, 0.6);
        drag.emplace_back(place, peak * release_N);
        place += 0.02;
        peak = std::min(most, peak + random.between(0.1, 0.3));
    }
    drag.emplace_back(s.seat.length_mm, 0.2 * release_N);
    s.seat.drag_N = Table(std::move(drag));
}

void arrange_drift_slips(Scenario& s, Random& random) {
    s.press.slips_at_N = random.between(0.55, 0.85) * lets_go_at_N(s.seat);
}

void arrange_fast_hand(Scenario& s, Random& random) {
    s.hand.careful_turns_per_s = random.between(0.9, 1.2);
    s.hand.careful_stroke = 0.75;  // so long that contact never falls into its beginning or end
    s.hand.careful_pause_s = 0.15;
    s.hand.brisk_turns_per_s = 1.2;
    s.hand.brisk_stroke = 0.5;
}

void arrange_unplugged(Scenario& s, Random& random) {
    s.mishap = Mishap::cable_out;
    s.mishap_at_N = random.between(0.3, 0.6) * lets_go_at_N(s.seat);
    s.mishap_s = random.between(1.2, 1.8);
}

void arrange_spikes(Scenario& s, Random& random) {
    s.mishap = Mishap::spikes;
    s.mishap_s = random.between(1.2, 2.2);
}

void arrange_unit_key(Scenario& s, Random& random) {
    s.mishap = Mishap::unit_key;
    s.mishap_at_turns = random.between(0.02, 2.5);
}

void arrange_zero_key(Scenario& s, Random& random) {
    s.mishap = Mishap::zero_key;
    s.mishap_at_turns = random.between(0.4, 2.5);
}

void arrange_caliper_slips(Scenario& s, Random& random) {
    s.mishap = Mishap::caliper_slips;
    s.seat.grip_N *= random.between(2.2, 3.2);  // a tight one: there is travel to be missed
    s.seat.knee_N *= 3;
    s.mishap_at_N = random.between(30, 120);
    s.follows_share = random.between(0, 0.12);
    s.hand.heavy_N *= 3;
}

void arrange_held_end_creeps(Scenario& s, Random& random) {
    s.press.creeping_share = random.between(0.15, 0.3);
    s.press.creeping_above_N = random.between(80, 160);
}

void arrange_overdriven(Scenario& s, Random& random) { s.hand.stops_at_home_N = random.between(3300, 4500); }

// Gives the seat a grip along its depth; `factor` takes 0 at the mouth to 1 at the inner end. What the seat grips in all stays.
template <class Factor>
void shape_seat(Scenario& s, Factor factor) {
    constexpr int points = 70;
    const double length = s.seat.length_mm;
    const double before = s.seat.grip_per_mm.area(0, length);
    std::vector<std::pair<double, double>> grip;
    for (int i = 0; i <= points; ++i) {
        const double way = static_cast<double>(i) / points;  // along the ring's travel
        const double depth = s.seat.work == Work::out ? 1 - way : way;
        grip.emplace_back(way * length, s.seat.grip_per_mm.at(way * length) * factor(depth));
    }
    s.seat.grip_per_mm = Table(grip);
    s.seat.edges_follow = true;
    s.seat.grip_N *= s.seat.grip_per_mm.area(0, length) / before;
}

void arrange_tapered(Scenario& s, Random& random) {
    const double change = (random.chance(0.5) ? 1 : -1) * random.between(0.7, 1.3);
    shape_seat(s, [&](double depth) { return 1 + change * (depth - 0.5); });
}

void arrange_bell_mouthed(Scenario& s, Random& random) {
    const double over = random.between(0.25, 0.45), left = random.between(0, 0.2);
    shape_seat(s, [&](double depth) { return depth < over ? left + (1 - left) * depth / over : 1; });
}

void arrange_worn_band(Scenario& s, Random& random) {
    const double wide = random.between(0.25, 0.35), middle = random.between(0.4, 0.65), left = random.between(0.1, 0.35);
    shape_seat(s, [&](double depth) { return std::fabs(depth - middle) < wide / 2 ? left : 1; });
}

void arrange_burred(Scenario& s, Random& random) {
    const double wide = random.between(0.06, 0.12), middle = random.between(0.3, 0.75), more = random.between(1.5, 3);
    shape_seat(s, [&](double depth) { return std::fabs(depth - middle) < wide / 2 ? 1 + more : 1; });
}

void arrange_out_of_round(Scenario& s, Random& random) {
    s.seat.once_per_turn = random.between(0.07, 0.15);
    s.seat.tightest_at_turn = random.between(0, 1);
}

void arrange_stops_short(Scenario& s, Random& random) {
    // A ridge of old adhesive on the way, as hard as a shoulder: the hand stops there.
    const double at = random.between(0.55, 0.8) * s.seat.length_mm, ridge_N = random.between(5000, 8000);
    s.seat.drag_N = Table({{0, 0}, {at, 0}, {at + 0.06, ridge_N}, {s.seat.length_mm, ridge_N}});
    s.hand.gives_up_N = random.between(1300, 1900);
    s.hand.gives_up_turns = 1e6;
}

}  // namespace

std::string_view mishap_name(Mishap mishap) { return mishap_names[static_cast<std::size_t>(mishap)]; }

const std::vector<ScenarioKind>& scenario_kinds() {
    static constexpr std::string_view fine = "nothing-unusual", look = "look-closer", stop = "stop-and-inspect",
                                      cannot = "cant-tell";
    static const std::vector<ScenarioKind> kinds = {
        {"clean", "an ordinary ring comes out of an ordinary seat", Work::out, {fine}, arrange_clean},
        {"loose-seat", "the seat hardly holds the ring: it comes far too easily", Work::out, {look}, arrange_loose},
        {"bonded", "glued in: far too tight, then a sudden release if any", Work::out, {stop}, arrange_bonded},
        {"seized", "does not come: the force rises to the limit", Work::out, {stop}, arrange_seized},
        {"tilting", "pulled off-axis: a knee, then the ring cocks and the force climbs on", Work::out, {look, stop},
         arrange_tilting},
        {"galled", "after release the seat tears up: saw-tooth force above the release", Work::out, {look, stop},
         arrange_galled},
        {"drift-slips", "the drift jumps off the ring and takes hold anew", Work::out, {look, stop},
         arrange_drift_slips},
        {"fast-hand", "about a turn a second before anything has moved", Work::out, {cannot, look}, arrange_fast_hand},
        {"unplugged", "the force cell's cable is out for a second and a half while loading", Work::out,
         {look, stop, cannot}, arrange_unplugged},
        {"spikes", "an ordinary job, but the force cell throws single spikes", Work::out, {fine, look},
         arrange_spikes},
        {"unit-key", "somebody touches the caliper's mm/inch key", Work::out, {stop, cannot}, arrange_unit_key},
        {"zero-key", "somebody touches the caliper's zero key", Work::out, {cannot, look}, arrange_zero_key},
        {"caliper-slips", "the caliper slips on its mount while the force rises", Work::out, {stop, cannot},
         arrange_caliper_slips},
        {"held-end-creeps", "the end of the screw that should stand still turns along", Work::out, {look, cannot},
         arrange_held_end_creeps},
        {"press-in", "an ordinary ring goes in and comes home", Work::in, {fine}, arrange_clean},
        {"overdriven", "driven on after it is home", Work::in, {look, stop}, arrange_overdriven},
        {"tapered", "the seat grips more at one end than at the other", Work::out, {fine, look}, arrange_tapered},
        {"bell-mouthed", "the seat is open at its mouth", Work::out, {fine, look}, arrange_bell_mouthed},
        {"worn-band", "a band of the seat hardly grips", Work::out, {fine, look}, arrange_worn_band},
        {"burred", "a narrow band of the seat grips far too hard", Work::out, {fine, look}, arrange_burred},
        {"out-of-round", "the force comes and goes with every turn of the screw", Work::out, {fine, look}, arrange_out_of_round},
        {"press-in-tapered", "pressed into a seat that grips more at one end", Work::in, {fine, look}, arrange_tapered},
        {"stops-short", "pressed in until a ridge before the shoulder stops it", Work::in, {fine, look, stop}, arrange_stops_short},
    };
    return kinds;
}

const ScenarioKind& blocked_pull() {
    static const ScenarioKind kind{"block", "the pull is blocked, for calibrating", Work::out, {}, [](Scenario& s, Random&) {
        s.seat.bond_N = free_for_ever_N;
        s.seat.knee_N = 0;
        s.hand.gives_up_N = free_for_ever_N;
    }};
    return kind;
}

const ScenarioKind& find_scenario(std::string_view name) {
    if (name == blocked_pull().name) return blocked_pull();
    std::vector<std::string> names;
    for (const auto& kind : scenario_kinds()) {
        if (kind.name == name) return kind;
        names.emplace_back(kind.name);
    }
    const std::string near = nearest_word(name, names);
    throw BadInput("\"" + std::string(name) + "\" is no practice job" +
                   (near.empty() ? "" : "; did you mean \"" + near + "\"?") + " (`halfturn-practice list` names them)");
}

Scenario make_scenario(const ScenarioKind& kind, std::uint64_t seed, const Wishes& wishes) {
    Scenario scenario;
    scenario.name = kind.name;
    scenario.seed = seed;
    Random random(seed, "scenario");
    draw_ordinary(scenario, random, wishes);
    if (kind.work == Work::in) turn_to_pressing_in(scenario, random, wishes);
    kind.arrange(scenario, random);
    return scenario;
}

}  // namespace halfturn::practice
