#include "curve/expectation.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "core/number_text.hpp"
#include "curve/band.hpp"
#include "curve/draws.hpp"
#include "curve/seat_model.hpp"
#include "curve/widest_input.hpp"

namespace halfturn::curve {

namespace {

constexpr std::uint32_t grips_drawn = 1u << 14;
constexpr std::uint32_t frictions_per_grip = 8;
constexpr std::uint32_t curve_points = 1u << 10;

void set_bands(Expectation& out, const SeatFacts& facts, const Draws& draws) {
    std::vector<double> interference, pressure, sliding, turns, knee, clearance;
    std::size_t loose = 0;
    for (std::size_t i = 0; i < draws.grips.size(); ++i) {
        const Grip& grip = draws.grips[i];
        const Seat seat = seat_of(grip, facts.friction.at(draws.place[i]));
        loose += grip.interference_um <= 0;
        interference.push_back(grip.interference_um);
        pressure.push_back(grip.pressure_MPa);
        sliding.push_back(seat.sliding_N);
        knee.push_back(seat.knee_N);
        clearance.push_back(grip.clearance_um);
        if (facts.pitch_mm) turns.push_back(wind_up_mm(seat, seat.break_loose_N) / *facts.pitch_mm);
    }
    out.loose_probability = static_cast<double>(loose) / static_cast<double>(draws.grips.size());
    out.interference_um = band_of(interference);
    out.pressure_MPa = band_of(pressure);
    auto forces = break_loose_forces_N(facts, draws, frictions_per_grip);
    out.break_loose_N = band_of(forces);
    const bool only_slides = facts.work == Work::in;
    out.sliding_N = only_slides ? out.break_loose_N : band_of(sliding);
    if (facts.clearance_um) out.clearance_left_um = band_of(clearance);
    if (!facts.off_axis_mm.known()) {
        out.knee_N = band_of(knee);
        // Pivoting runs away above mu e/L = 0.30; confirmed over several rings by finite elements, on metal not yet. Taken at
        // the high end of friction, because a warning that comes early costs nothing.
        constexpr double cocking = 0.30;
        const double too_short_mm = facts.friction.at(0.84) * facts.off_axis_mm.middle() / cocking;
        out.cocks_after_mm = std::max(0.0, facts.seat.contact_length_mm - too_short_mm);
    }
    const Doubt& stiffness = facts.stiffness_N_per_mm;
    out.stiffness_N_per_mm = {stiffness.at(0.025), stiffness.middle(), stiffness.at(0.975)};
    if (facts.pitch_mm) out.break_loose_turns = band_of(turns);
}

// Where the curve is looked at: closely through the wind-up (or to home), coarsely along the slide, closely at its end.
std::vector<double> grid_of(const Expectation& out, const SeatFacts& facts) {
    const double pitch = *facts.pitch_mm;
    const double end = out.seat_length_mm / pitch;
    const double edge = 0.2 * end;  // the stretch over which the last of the grip goes, or the first comes
    const double wound = std::max(out.break_loose_turns.high, 0.02);
    std::vector<double> grid;
    const auto add = [&grid](double from, double to, int steps) {
        for (int i = 0; i < steps; ++i) grid.push_back(from + (to - from) * i / steps);
    };
    if (facts.work == Work::out) {
        const double near = 1.25 * wound;
        add(0, near, 40);
        add(near, std::max(near, end - edge), 24);
        add(std::max(near, end - edge), std::max(near, end) + wound, 12);
        grid.push_back(std::max(near, end) + wound + 0.1);
    } else {
        add(0, edge, 12);
        add(edge, end, 24);
        add(end, end + wound + 0.25, 32);
        grid.push_back(end + wound + 0.25);
    }
    std::sort(grid.begin(), grid.end());
    grid.erase(std::unique(grid.begin(), grid.end()), grid.end());
    return grid;
}

void set_curve(Expectation& out, const SeatFacts& facts, const Draws& draws) {
    const GripFall fall(facts.seat.grip_left);
    // Every sixteenth point of a lattice is a lattice.
    std::vector<Seat> seats;
    for (std::size_t i = 0; i < draws.grips.size(); i += draws.grips.size() / curve_points)
        seats.push_back(seat_of(draws.grips[i], facts.friction.at(draws.place[i])));
    std::vector<double> forces(seats.size());
    const auto force = facts.work == Work::out ? force_out_N : force_in_N;
    for (const double turns : grid_of(out, facts)) {
        for (std::size_t i = 0; i < seats.size(); ++i)
            forces[i] = force(seats[i], fall, turns * *facts.pitch_mm);
        const Band band = band_of(forces);
        out.curve.push_back({turns, band.low, band.mid, band.high});
    }
    std::vector<double> ends;
    for (const auto& seat : seats)
        ends.push_back((out.seat_length_mm + wind_up_mm(seat, facts.work == Work::out ? 0 : seat.sliding_N)) / *facts.pitch_mm);
    out.end_turns = band_of(ends);
}

void set_limit(Expectation& out, const SeatFacts& facts) {
    const std::pair<std::optional<double>, std::string> limits[] = {
        {facts.force_limit_N, "force limit of the rig"},
        {facts.cell_capacity_N, "capacity of the load cell"},
        {facts.screw_proof_N, "proof load of the " + facts.screw_name + " screw"}};
    for (const auto& [limit, name] : limits)
        if (limit && (!out.limit_N || *limit < *out.limit_N)) {
            out.limit_N = limit;
            out.limit_is = name;
        }
    if (!out.limit_N || !facts.pitch_mm) return;
    const double toe = facts.toe_mm.middle() / 2;
    const auto turns = [&](double stiffness) { return (*out.limit_N / stiffness + toe) / *facts.pitch_mm; };
    out.limit_turns = Band{turns(out.stiffness_N_per_mm.high), turns(out.stiffness_N_per_mm.mid), turns(out.stiffness_N_per_mm.low)};
}

// The slowest instrument sets the hand's speed. Force: between two readings it may gain a sixth of the expected release,
// so that the peak is read to that. Travel: a half-turn alarm may come a twentieth of a turn late.
void set_fastest(Expectation& out, const SeatFacts& facts) {
    if (!facts.pitch_mm) return;
    constexpr double share_of_release = 1.0 / 6, late_turns = 0.05;
    const double N_per_turn = out.stiffness_N_per_mm.mid * *facts.pitch_mm;
    double by_force = 0, by_travel = 0;
    if (facts.force_rate_per_s > 0 && out.break_loose_N.mid > 0)
        by_force = share_of_release * out.break_loose_N.mid * facts.force_rate_per_s / N_per_turn;
    if (facts.travel_rate_per_s > 0) by_travel = late_turns * facts.travel_rate_per_s;
    if (by_force > 0 && (by_travel == 0 || by_force <= by_travel)) {
        out.fastest_turns_per_s = by_force;
        out.fastest_because = "so that the force gains at most a sixth of the expected release between two readings (" +
                              number_text(facts.force_rate_per_s) + " a second)";
    } else if (by_travel > 0) {
        out.fastest_turns_per_s = by_travel;
        out.fastest_because = "so that the half-turn alarm comes at most a twentieth of a turn late (travel is read " +
                              number_text(facts.travel_rate_per_s) + " times a second)";
    } else {
        out.fastest_because = "the rig file gives no readings_per_s, so it is not known how fast is too fast";
    }
    if (facts.force_rate_per_s > 0) out.force_step_N_at_fastest = N_per_turn * out.fastest_turns_per_s / facts.force_rate_per_s;
}

std::string span_text(const Doubt& doubt, int decimals, const std::string& unit, double offset = 0, double scale = 1) {
    const auto number = [&](double value) { return fixed_text(offset + scale * value, decimals); };
    if (doubt.known()) return number(doubt.a) + unit;
    if (doubt.spread == Spread::normal) return number(doubt.a) + " +- " + fixed_text(scale * doubt.b, decimals) + unit;
    return number(doubt.a) + " to " + number(doubt.b) + unit;
}

std::string shape_text(const SeatFacts& facts) {
    return facts.has_section ? "housing section as given" : "housing shape " + std::string(housing_shape_name(facts.shape));
}

void set_grounds(Expectation& out, const SeatFacts& facts) {
    auto& list = out.rests_on;
    list.push_back({"bearing", number_text(facts.d_mm) + " x " + number_text(facts.D_mm) + " x " + number_text(facts.B_mm) + " mm", facts.bearing_source});
    list.push_back({"seat bore", span_text(facts.bore_um, 4, " mm", facts.D_mm, 0.001), facts.bore_um.source});
    list.push_back({"outer ring", span_text(facts.ring_um, 4, " mm", facts.D_mm, 0.001), facts.ring_um.source});
    list.push_back({"smoothing loss", span_text(facts.smoothing_um, 1, " um"), facts.smoothing_um.source});
    if (facts.thermal_um != 0)
        list.push_back({"heat", fixed_text(facts.thermal_um, 1) + " um of interference", {fit::Basis::measured, "housing temperature and the metals' expansion"}});
    list.push_back({"housing outside", span_text(facts.hub_outside_mm, 1, " mm"), facts.hub_outside_mm.source});
    list.push_back({"housing stiffness", span_text(facts.hub_E_GPa, 1, " GPa"), facts.hub_E_GPa.source});
    list.push_back({"grip", figures_text(facts.seat.N_per_um, 4) + " N/um +- " + fixed_text(100 * facts.grip_model.b, 0) + " %, " +
                                shape_text(facts), facts.grip_model.source});
    list.push_back({"friction", span_text(facts.friction, 2, "") + ", " + std::string(surface_name(facts.surface)), facts.friction.source});
    if (facts.bond_MPa) list.push_back({"bond", span_text(*facts.bond_MPa, 0, " MPa in shear"), facts.bond_MPa->source});
    if (facts.through_balls) list.push_back({"pull through the balls", "grip grows by " + span_text(facts.ball_path, 1, " N per N"), facts.ball_path.source});
    if (facts.access == Access::past_spacer) list.push_back({"pull off the axis", span_text(facts.off_axis_mm, 1, " mm"), facts.off_axis_mm.source});
    list.push_back({"press stiffness", span_text(facts.stiffness_N_per_mm, 0, " N/mm"), facts.stiffness_N_per_mm.source});
}

void set_advice(Expectation& out, const SeatFacts& facts) {
    auto& advice = out.advice;
    if (!facts.pitch_mm) advice.push_back("The screw's pitch is not known, so nothing can be said in turns: name its thread in the rig file.");
    if (!facts.stiffness_measured)
        advice.push_back("The press's stiffness has not been measured, so turns are rough: the half-turn rule means something only with it.");
    if (out.loose_probability > 0.025)
        advice.push_back("With a chance of " + fixed_text(100 * out.loose_probability, 0) + " % this seat does not grip at all.");
    if (out.limit_turns && out.limit_turns->mid < 0.5)
        advice.push_back("On a stuck ring the " + out.limit_is + " is reached before half a turn: watch the force, not only the turns.");
    if (out.limit_N && out.break_loose_N.high > *out.limit_N)
        advice.push_back("The expected force may reach past the " + out.limit_is + ": this rig may be too small for the job.");
    if (facts.bond_MPa) advice.push_back("A bonded seat needs several times the force. Warming it softens most compounds; follow the maker's sheet.");
    if (out.cocks_after_mm)
        advice.push_back(*out.cocks_after_mm > 0
                             ? "Pulled off the axis the ring may cock once some " + fixed_text(*out.cocks_after_mm, 1) +
                                   " mm of it are out: look closer at the first sign, and keep the drift moving round."
                             : "Pulled this far off the axis this ring may cock at once: look closer at the first sign of it, and "
                               "keep the drift moving round.");
    if (facts.screw_bending_N && *facts.screw_bending_N < std::max(out.break_loose_N.high, out.limit_N.value_or(0)))
        advice.push_back("Off the axis the screw bends as well: the " + facts.screw_name + " may start to yield near " +
                         figures_text(*facts.screw_bending_N, 2) + " N (a simple beam without the drift's help, so pessimistic).");
    if (facts.through_balls && facts.axial_limit_N > 0 && out.break_loose_N.mid > facts.axial_limit_N) {
        const std::string limit = figures_text(facts.axial_limit_N, 2) + " N it dents the races";
        advice.push_back(facts.work == Work::in
                             ? "Pushing on the inner ring sends the force through the balls: above about " + limit + ". Push on the outer ring."
                             : "The pull goes through the balls, and above about " + limit + ": do not use this bearing again.");
    }
    if (out.knee_N)
        advice.push_back("Pulled off the axis, the ring pivots before it lets go: the force bends near " + figures_text(out.knee_N->mid, 2) +
                         " N. That knee is not the release.");
    const double hoop_MPa = facts.seat.hoop_MPa_per_um * out.interference_um.high;
    if (out.clearance_left_um && facts.work == Work::in && out.clearance_left_um->low < 0)
        advice.push_back("Pressed in, this bearing may lose all its play: between " + fixed_text(out.clearance_left_um->low, 0) + " and " +
                         fixed_text(out.clearance_left_um->high, 0) + " um are left of it. Turn it by hand afterwards.");
    if (facts.hub_yield_MPa > 0 && hoop_MPa > facts.hub_yield_MPa)
        advice.push_back("At the tight end of this fit the housing would yield, and the force stay below what is shown.");
}

}  // namespace

Expectation expect(const SeatFacts& facts, std::uint64_t seed) {
    Expectation out;
    out.seed = seed;
    out.stiffness_measured = facts.stiffness_measured;
    out.seat_length_mm = facts.seat.grip_left.clear_mm();
    const Draws draws = draw_grips(facts, grips_drawn, seed);
    set_bands(out, facts, draws);
    for (int i = 0; i <= 24; ++i) {
        const double slid_mm = out.seat_length_mm * i / 24;
        out.grip_fall.push_back({slid_mm, facts.seat.grip_left.at(slid_mm)});
    }
    if (facts.pitch_mm) set_curve(out, facts, draws);
    set_limit(out, facts);
    set_fastest(out, facts);
    out.widest_input = widest_input(facts, seed);
    set_grounds(out, facts);
    set_advice(out, facts);
    return out;
}

void put_into(const Expectation& expectation, const SeatFacts& facts, SetUp& set_up) {
    set_up.pitch_mm = facts.pitch_mm.value_or(0);
    set_up.stiffness_N_per_mm = expectation.stiffness_N_per_mm;
    set_up.stiffness_measured = expectation.stiffness_measured;
    set_up.force_limit_N = facts.force_limit_N.value_or(0);
    set_up.fastest_turns_per_s = expectation.fastest_turns_per_s;
    set_up.break_loose_N = expectation.break_loose_N;
    set_up.sliding_N = expectation.sliding_N;
    set_up.curve = expectation.curve;
    set_up.grip_fall = expectation.grip_fall;
    set_up.seat_length_mm = expectation.seat_length_mm;
    set_up.expectation_json = expectation_json(expectation);
}

}  // namespace halfturn::curve
