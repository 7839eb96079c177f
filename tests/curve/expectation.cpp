#include "curve/expectation.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <chrono>
#include <cmath>
#include <random>

#include "curve/band.hpp"
#include "curve/draws.hpp"
#include "curve/lattice.hpp"
#include "curve/plot.hpp"
#include "curve/seat_model.hpp"
#include "fit/pull.hpp"

using namespace halfturn;
using namespace halfturn::curve;

namespace {

JobFile measured_job() {
    JobFile job;
    job.file = "job.toml";
    job.bearing.designation = "61902";
    job.bearing.sealed = true;
    job.seat_fit.bore_mm = 27.985;
    job.seat_fit.bore_u_um = 2;
    job.seat_fit.outside_mm = 27.996;
    job.seat_fit.outside_u_um = 1;
    job.housing.material = "6061-T6";
    job.housing.outside_diameter_mm = 36.4;
    job.housing.shape = HousingShape::shoulder_behind;
    job.condition.surface = Surface::dry;
    return job;
}

JobFile class_job() {
    JobFile job = measured_job();
    job.seat_fit = {};
    job.seat_fit.tolerance_class = "P7";
    return job;
}

RigFile bench_rig() {
    RigFile rig;
    rig.name = "bench";
    rig.screw = {"M8", {}, "8.8", {}};
    rig.press.stiffness_N_per_mm = 18000;
    rig.press.stiffness_u = 1000;
    rig.press.force_limit_N = 5000;
    rig.channels.resize(2);
    rig.channels[0].measures = Measure::force;
    rig.channels[0].readings_per_s = 80;
    rig.channels[1].measures = Measure::screw_travel;
    rig.channels[1].readings_per_s = 10;
    return rig;
}

}  // namespace

TEST_CASE("The same facts and seed give the same bits; another seed hardly other numbers") {
    const RigFile rig = bench_rig();
    const auto facts = facts_from(measured_job(), &rig);
    const auto one = expect(facts, 7), again = expect(facts, 7), other = expect(facts, 8);
    CHECK(expectation_json(one) == expectation_json(again));
    CHECK(one.break_loose_N == again.break_loose_N);
    CHECK(other.break_loose_N.low == Approx(one.break_loose_N.low).epsilon(0.01));
    CHECK(other.break_loose_N.high == Approx(one.break_loose_N.high).epsilon(0.01));
    CHECK_FALSE(other.break_loose_N == one.break_loose_N);
}

TEST_CASE("Replicates of the band agree to 0.5 % at the low edge and 0.15 % at the high edge") {
    for (const JobFile& job : {measured_job(), class_job()}) {
        const auto facts = facts_from(job, nullptr);
        constexpr int replicates = 24;
        double low = 0, low2 = 0, high = 0, high2 = 0;
        for (std::uint64_t seed = 1; seed <= replicates; ++seed) {
            const Band band = expect(facts, seed).break_loose_N;
            low += band.low / replicates, low2 += band.low * band.low / replicates;
            high += band.high / replicates, high2 += band.high * band.high / replicates;
        }
        CHECK(std::sqrt(low2 - low * low) / low < 0.005);
        CHECK(std::sqrt(high2 - high * high) / high < 0.0015);
    }
}

// The outside reference: the same seats by plain Monte Carlo with a generator and transforms that share
// nothing with the lattice (Mersenne Twister, the library's own normal and uniform distributions).
namespace {

double drawn_friction(std::mt19937_64& gen, double low, double high) {
    std::normal_distribution<double> z(0, (std::log(high) - std::log(low)) / (2 * 1.959964));
    return std::sqrt(low * high) * std::exp(z(gen));
}

struct Drawn {
    double interference_um, force_N;
};

Drawn drawn_seat(std::mt19937_64& gen, bool measured, const SeatFacts& facts) {
    const auto uniform = [&gen](double a, double b) {
        return std::uniform_real_distribution<double>(a, b)(gen);
    };
    const auto normal_of = [&gen](double m, double u) { return std::normal_distribution<double>(m, u)(gen); };
    const double bore_um = measured ? normal_of(-15, 2) : uniform(-35, -14);  // P7 at 28 mm
    const double ring_um = measured ? normal_of(-4, 1) : uniform(-9, 0);      // ISO 492 Normal
    const double delta = ring_um - bore_um - (measured ? 0 : uniform(0, 2));
    // About half of the give is the hub's, so a hub 1 % stiffer grips half a percent harder.
    const double N = facts.seat.N_per_um * std::sqrt(normal_of(68.9, 0.7) / 68.9) *
                     normal_of(1, facts.seat.N_per_um_rel_u) * std::max(0.0, delta);
    const double mu = drawn_friction(gen, 0.08, 0.28);
    // The pull through the balls by the section's exact solution, not the table.
    const auto play = [&] { return uniform(facts.clearance_um.a, facts.clearance_um.b); };
    fit::BallPath path = fit::ball_path(facts.ring);
    path.clearance_um = play() - facts.seat.raceway_um_per_um * std::max(0.0, delta);
    const double lambda = normal_of(facts.lambda.a, facts.lambda.b);
    const double balls = std::min(2.2, fit::release_across_balls(path, mu * N, mu * lambda).factor);
    return {delta, mu * N * balls};
}

}  // namespace

TEST_CASE("Bands hold 95 of 100 seats drawn from the stated doubts") {
    for (const bool measured : {true, false}) {
        const auto facts = facts_from(measured ? measured_job() : class_job(), nullptr);
        const auto e = expect(facts, 3);
        std::mt19937_64 gen(20240501);
        constexpr int seats = 8000;
        int inside = 0, below = 0, interference_inside = 0;
        for (int i = 0; i < seats; ++i) {
            const Drawn seat = drawn_seat(gen, measured, facts);
            inside += seat.force_N >= e.break_loose_N.low && seat.force_N <= e.break_loose_N.high;
            below += seat.force_N < e.break_loose_N.mid;
            interference_inside += seat.interference_um >= e.interference_um.low &&
                                   seat.interference_um <= e.interference_um.high;
        }
        CHECK(inside / double(seats) == Approx(0.95).margin(0.009));
        CHECK(below / double(seats) == Approx(0.5).margin(0.02));
        CHECK(interference_inside / double(seats) == Approx(0.95).margin(0.009));
    }
}

TEST_CASE("A loose seat is expected to need nothing, and its chance is said") {
    JobFile job = measured_job();
    job.seat_fit = {};
    job.seat_fit.tolerance_class =
        "H7";  // 0 to 21 um against a ring of 0 to -9: always loose, up to smoothing
    const auto loose = expect(facts_from(job, nullptr), 1);
    CHECK(loose.loose_probability == 1);
    CHECK(loose.break_loose_N.high == 0);
    CHECK(loose.widest_input.find("Nothing") == 0);
    job.seat_fit.tolerance_class = "K7";
    const auto either = expect(facts_from(job, nullptr), 1);
    // Exact: bore even over 21 um from -15, ring over 9 um from -9, smoothing over 2 um from 0; interference
    // is their difference. Chance by a fine sum over the three.
    double chance = 0;
    constexpr int n = 200;
    for (int i = 0; i < n; ++i)
        for (int k = 0; k < n; ++k) {
            const double edge = -9 + 9 * (i + 0.5) / n - 2 * (k + 0.5) / n;  // bores above this are loose
            chance += std::clamp((6 - edge) / 21, 0.0, 1.0) / (n * n);
        }
    CHECK(either.loose_probability == Approx(chance).margin(0.002));
}

TEST_CASE("The curve of a ring coming out") {
    const RigFile rig = bench_rig();
    const auto facts = facts_from(measured_job(), &rig);
    const auto e = expect(facts, 1);
    REQUIRE(e.curve.size() > 50);
    CHECK(e.curve.front().turns == 0);
    CHECK(e.curve.front().high_N == 0);
    CHECK(e.curve.back().high_N == 0);
    double highest_mid = 0, highest_high = 0;
    for (std::size_t i = 0; i < e.curve.size(); ++i) {
        const auto& point = e.curve[i];
        CHECK(point.low_N <= point.mid_N);
        CHECK(point.mid_N <= point.high_N);
        if (i > 0) CHECK(point.turns > e.curve[i - 1].turns);
        highest_mid = std::max(highest_mid, point.mid_N);
        highest_high = std::max(highest_high, point.high_N);
    }
    // No force on a normal curve leaves the break-loose band upwards, and none exceeds what the press could
    // wind up.
    CHECK(highest_high <= e.break_loose_N.high * 1.03);
    CHECK(highest_mid < e.break_loose_N.mid);
    for (const auto& point : e.curve) CHECK(point.high_N <= 1.15 * 18000 * 1.25 * point.turns + 1);
    // Sliding: half way out the grip has fallen to 0.58 (finite-element runs of a 61902), so has the middle
    // of the band.
    const auto just_after = curve_at(e.curve, 1.1 * e.break_loose_turns.high),
               half = curve_at(e.curve, 3.5 / 1.25);
    CHECK(half.mid_N / just_after.mid_N == Approx(0.58).margin(0.05));
    CHECK(e.seat_length_mm == Approx(6.5).margin(0.1));  // the width less a chamfer
    CHECK(e.end_turns.mid == Approx(e.seat_length_mm / 1.25).margin(0.02));
    // A stuck ring reaches 5 kN at 5000/18000 mm and a little toe: 0.22 to 0.25 turn.
    REQUIRE(e.limit_turns.has_value());
    CHECK(e.limit_turns->mid == Approx((5000.0 / 18000 + 0.0175) / 1.25).epsilon(0.01));
}

TEST_CASE("The curve of a ring going in: entry, rise, home") {
    RigFile rig = bench_rig();
    JobFile job = measured_job();
    job.work = Work::in;
    const auto e = expect(facts_from(job, &rig), 1);
    const double home = e.end_turns.mid;
    CHECK(home == Approx(e.seat_length_mm / 1.25).margin(0.1));
    double before = 0;
    for (const auto& point : e.curve) {
        CHECK(point.mid_N >= before - 1e-9);  // never falls on the way in
        before = point.mid_N;
    }
    const auto at_home = curve_at(e.curve, home - 0.05);
    CHECK(at_home.mid_N == Approx(e.break_loose_N.mid).epsilon(0.05));
    // Beyond home the press winds up: 18 kN/mm over a tenth of a turn.
    CHECK(curve_at(e.curve, home + 0.25).mid_N - curve_at(e.curve, home + 0.15).mid_N ==
          Approx(18000 * 0.125).epsilon(0.05));
    CHECK(e.sliding_N == e.break_loose_N);
}

TEST_CASE("Bond, surface, access and reach change what is expected") {
    const double area_mm2 = 3.14159265 * 28 * 7;
    const auto band = [](const JobFile& job) { return expect(facts_from(job, nullptr), 1).break_loose_N; };
    const JobFile dry = measured_job();
    JobFile bonded = dry, oiled = dry, past_spacer = dry, on_outer = dry, unknown = dry, corroded = dry;
    bonded.condition.surface = Surface::bonded;
    CHECK(band(bonded).low > 5 * area_mm2);
    CHECK(band(bonded).high < 45 * area_mm2);
    oiled.condition.surface = Surface::oiled;
    CHECK(band(oiled).mid < 0.75 * band(dry).mid);
    corroded.condition.surface = Surface::corroded;
    CHECK(band(corroded).mid > 1.3 * band(dry).mid);
    past_spacer.access = Access::past_spacer;
    past_spacer.drift.reach_mm = 9;
    CHECK(band(past_spacer).high > 1.01 * band(dry).high);
    CHECK(band(past_spacer).low == Approx(band(dry).low).epsilon(0.02));
    on_outer.drift.reach_mm = 13;  // pushes the outer ring, so nothing goes through the balls
    const auto factor = band(dry).mid / band(on_outer).mid;  // published: 1.16 to 1.35 at friction 0.13
    CHECK(factor > 1.16);
    CHECK(factor < 1.45);
    unknown.condition.surface = Surface::unknown;
    unknown.housing = {};
    CHECK(band(unknown).high / band(unknown).low > band(dry).high / band(dry).low);
}

TEST_CASE("The widest input is named with what knowing it better would bring") {
    JobFile job = measured_job();
    CHECK(expect(facts_from(job, nullptr), 1).widest_input.find("Friction") == 0);
    job.condition.friction = 0.15;
    job.seat_fit = {};
    job.seat_fit.tolerance_class = "N7";
    const auto wide = expect(facts_from(job, nullptr), 1);
    CHECK(wide.widest_input.find("The seat's bore: measuring it to 3 µm") == 0);
    // And the promise is kept: with the bore measured to 3 um at the middle of its class the band is about as
    // narrow as said.
    job.seat_fit.bore_mm = 28 - 0.0175;
    job.seat_fit.bore_u_um = 3;
    const auto narrow = expect(facts_from(job, nullptr), 1);
    const double ratio = (narrow.break_loose_N.high - narrow.break_loose_N.low) /
                         (wide.break_loose_N.high - wide.break_loose_N.low);
    CHECK(ratio < 0.79);
    INFO(wide.widest_input);
    if (wide.widest_input.find("halve") != std::string::npos) CHECK(ratio == Approx(0.5).margin(0.12));
    if (wide.widest_input.find("third off") != std::string::npos) CHECK(ratio == Approx(0.66).margin(0.12));
}

TEST_CASE("How fast the hand may turn follows the slowest instrument") {
    RigFile rig = bench_rig();
    const auto facts = facts_from(measured_job(), &rig);
    const auto fast = expect(facts, 1);
    // The step between readings at that speed is a sixth of the expected release.
    CHECK(fast.force_step_N_at_fastest <= fast.break_loose_N.mid / 6 * 1.001);
    rig.channels[0].readings_per_s = 10;
    const auto slow = expect(facts_from(measured_job(), &rig), 1);
    CHECK(slow.fastest_turns_per_s < 0.25);
    CHECK(slow.fastest_turns_per_s == Approx(slow.break_loose_N.mid / 6 * 10 / (18000 * 1.25)).epsilon(0.01));
    rig.channels[0].readings_per_s = 0;
    CHECK(expect(facts_from(measured_job(), &rig), 1).fastest_turns_per_s == Approx(0.5));  // a 10 Hz caliper
}

TEST_CASE("A job that says little still gives a wide, honest band") {
    JobFile job;
    job.file = "job.toml";
    job.bearing = {{}, 15, 28, 7, {}, ""};
    const auto facts = facts_from(job, nullptr);
    const auto e = expect(facts, 1);
    CHECK(e.loose_probability > 0.2);
    CHECK(e.break_loose_N.low == 0);
    CHECK(e.curve.empty());
    CHECK_FALSE(e.advice.empty());
    int assumed = 0;
    for (const auto& ground : e.rests_on) assumed += ground.source.basis == fit::Basis::assumed;
    CHECK(assumed >= 8);
    CHECK_THROWS_WITH(
        [&] {
            JobFile bad = job;
            bad.seat_fit.bore_mm = 26;
            return facts_from(bad, nullptr);
        }(),
        Catch::Contains("job.toml") && Catch::Contains("0.3 mm"));
    CHECK_THROWS_WITH(
        [&] {
            JobFile bad = job;
            bad.housing.outside_diameter_mm = 28;
            return facts_from(bad, nullptr);
        }(),
        Catch::Contains("outside_diameter_mm"));
    CHECK_THROWS_WITH(
        [&] {
            JobFile bad = job;
            bad.housing.material = "6061-T7";
            return facts_from(bad, nullptr);
        }(),
        Catch::Contains("6061-T6"));
}

TEST_CASE("The page fits 80 columns") {
    const RigFile rig = bench_rig();
    for (const Work work : {Work::out, Work::in}) {
        JobFile job = class_job();
        job.work = work;
        const auto facts = facts_from(job, &rig);
        const std::string text = expectation_text(expect(facts, 1), facts);
        std::size_t columns = 0;
        for (const char c : text) {
            if (c == '\n') {
                CHECK(columns <= 80);
                columns = 0;
            } else if ((c & 0xC0) != 0x80)
                ++columns;
        }
    }
}
