#include "curve/expectation.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <utility>

#include "core/number_text.hpp"
#include "curve/advice.hpp"
#include "curve/band.hpp"
#include "curve/draws.hpp"
#include "curve/seat_model.hpp"
#include "curve/widest_input.hpp"
#include "fit/off_axis_pull.hpp"

namespace halfturn::curve {

namespace {

constexpr std::uint32_t grips_drawn = 1u << 14;
constexpr std::uint32_t frictions_per_grip = 8;
constexpr std::uint32_t curve_points = 1u << 10;
constexpr std::uint32_t learned_points = 1u << 15;

void set_bands(Expectation& out, const SeatFacts& facts, const Draws& draws, std::uint32_t frictions) {
    std::vector<double> interference, pressure, sliding, turns, knee, clearance;
    std::size_t loose = 0;
    for (std::size_t i = 0; i < draws.grips.size(); ++i) {
        const Grip& grip = draws.grips[i];
        const Seat seat = seat_of(grip, facts.balls, facts.friction.at(draws.place[i]));
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
    auto forces = break_loose_forces_N(facts, draws, frictions);
    out.break_loose_N = band_of(forces);
    const bool only_slides = facts.work == Work::in;
    out.sliding_N = only_slides ? out.break_loose_N : band_of(sliding);
    out.clearance_left_um = band_of(clearance);
    if (!facts.off_axis_mm.known()) {
        out.knee_N = band_of(knee);
        // At the high end of friction, because a warning that comes early costs nothing.
        out.cocks_after_mm = fit::travel_until_cocking_mm(facts.friction.at(0.84), facts.off_axis_mm.middle(),
                                                          facts.seat.contact_length_mm);
    }
    const Doubt& stiffness = facts.stiffness_N_per_mm;
    out.stiffness_N_per_mm = {stiffness.at(0.025), stiffness.middle(), stiffness.at(0.975)};
    if (facts.pitch_mm) out.break_loose_turns = band_of(turns);
}

// Where the curve is looked at: closely through the wind-up (or to home), coarsely along the slide, closely
// at its end.
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
        seats.push_back(seat_of(draws.grips[i], facts.balls, facts.friction.at(draws.place[i])));
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
        ends.push_back((out.seat_length_mm + wind_up_mm(seat, facts.work == Work::out ? 0 : seat.sliding_N)) /
                       *facts.pitch_mm);
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
    out.limit_turns = Band{turns(out.stiffness_N_per_mm.high), turns(out.stiffness_N_per_mm.mid),
                           turns(out.stiffness_N_per_mm.low)};
}

// The slowest instrument sets the hand's speed. Force: between two readings it may gain a sixth of the
// expected release, so that the peak is read to that. Travel: a half-turn alarm may come a twentieth of a
// turn late.
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
        out.fastest_because =
            "so that the force gains at most a sixth of the expected release between two readings (" +
            number_text(facts.force_rate_per_s) + " a second)";
    } else if (by_travel > 0) {
        out.fastest_turns_per_s = by_travel;
        out.fastest_because =
            "so that the half-turn alarm comes at most a twentieth of a turn late (travel is read " +
            number_text(facts.travel_rate_per_s) + " times a second)";
    } else {
        out.fastest_because = "the rig file gives no readings_per_s, so it is not known how fast is too fast";
    }
    if (facts.force_rate_per_s > 0)
        out.force_step_N_at_fastest = N_per_turn * out.fastest_turns_per_s / facts.force_rate_per_s;
}

// Everything but friction in its middle, at an interference near the seat's own: the balls make force grow a little faster
// than interference.
void set_grip(Expectation& out, const SeatFacts& facts, const Draws& draws) {
    std::array<double, input_count> middle{};
    middle.fill(0.5);
    const SeatModel model(facts);
    Grip grip = model.grip(middle);
    const double at_um = std::max(5.0, grip.interference_um);
    grip.normal_N = at_um * facts.grip_model.middle() * model.N_per_um(facts.hub_outside_mm.middle(), facts.hub_E_GPa.middle());
    constexpr int frictions = 17;
    constexpr double least = 0.03, most = 0.45;
    for (int i = 0; i < frictions; ++i) {
        const double friction = least * std::pow(most / least, static_cast<double>(i) / (frictions - 1));
        out.grip.friction.push_back(friction);
        out.grip.N_per_um.push_back(friction_force_N(grip, facts.balls, friction) / at_um);
    }
    double sum = 0, squares = 0, counted = 0;
    for (const Grip& g : draws.grips) {
        if (g.interference_um < 2) continue;
        const double per_um = std::log(g.normal_N / g.interference_um);
        sum += per_um, squares += per_um * per_um, counted += 1;
    }
    if (counted > 1) out.grip.relative_u = std::sqrt(std::max(0.0, squares / counted - sum * sum / counted / counted));
    out.grip.friction_band = {facts.friction.at(0.025), facts.friction.middle(), facts.friction.at(0.975)};
    out.grip.over_sliding = {facts.over_sliding.at(0.025), facts.over_sliding.middle(), facts.over_sliding.at(0.975)};
}

FamilyLearned::Bands bands_of(const Expectation& out, const SeatFacts& facts, const Draws& draws) {
    std::vector<double> friction;
    for (const double place : draws.place) friction.push_back(facts.friction.at(place));
    return {out.break_loose_N, out.interference_um, band_of(friction)};
}

// What the force reading leaves open of a release, relative: the step between two readings at the fastest turning, and the
// cell's least count, each rectangular.
double instruments_u(const Expectation& out, const SeatFacts& facts) {
    if (!(out.break_loose_N.mid > 0)) return 0;
    return std::hypot(out.force_step_N_at_fastest, facts.force_least_count_N) / (std::sqrt(12.0) * out.break_loose_N.mid);
}

// Narrows the draws by what the family's jobs say. What went in stands beside what came out.
void learn_from(const FamilyJobs& family, Expectation& out, const SeatFacts& facts, Draws& draws) {
    FamilyLearned learned{family.name, family.jobs, 0, family.left_out, bands_of(out, facts, draws), {}, 0};
    learned.posterior = learned.prior;
    if (facts.bond_MPa) {
        for (const PastPull& pull : family.pulls) learned.left_out.push_back({pull.number, "a bond's strength is not the fit's"});
    } else if (!family.pulls.empty()) {
        LearningOptions options;
        options.least_own_u = std::hypot(options.least_own_u, instruments_u(out, facts));
        options.this_seat_pulled_before = family.this_seat_pulled_before;
        const Learned from = learn(out.grip, out.interference_um, family.pulls, options);
        const SeatModel model(facts);
        const double middle_N_per_um = facts.grip_model.middle() * model.N_per_um(facts.hub_outside_mm.middle(), facts.hub_E_GPa.middle());
        draws = learned_draws(facts, draws, from, middle_N_per_um, frictions_per_grip, learned_points);
        set_bands(out, facts, draws, 1);
        learned.used = static_cast<int>(family.pulls.size());
        learned.posterior = bands_of(out, facts, draws);
        learned.own_share = from.own_share();
    }
    out.family = std::move(learned);
}

}  // namespace

Expectation expect(const SeatFacts& facts, std::uint64_t seed, const FamilyJobs* family) {
    Expectation out;
    out.seed = seed;
    out.stiffness_measured = facts.stiffness_measured;
    out.seat_length_mm = facts.seat.grip_left.clear_mm();
    Draws draws = draw_grips(facts, grips_drawn, seed);
    set_bands(out, facts, draws, frictions_per_grip);
    set_grip(out, facts, draws);
    set_fastest(out, facts);
    if (family != nullptr) learn_from(*family, out, facts, draws);
    for (int i = 0; i <= 24; ++i) {
        const double slid_mm = out.seat_length_mm * i / 24;
        out.grip_fall.push_back({slid_mm, facts.seat.grip_left.at(slid_mm)});
    }
    if (facts.pitch_mm) set_curve(out, facts, draws);
    set_limit(out, facts);
    set_fastest(out, facts);
    out.widest_input = out.family && out.family->used > 0
                           ? "Seats of this family differ among themselves; measuring this one tells more than further jobs would."
                           : widest_input(facts, seed);
    out.rests_on = grounds_of(facts);
    out.advice = advice_for(out, facts);
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
