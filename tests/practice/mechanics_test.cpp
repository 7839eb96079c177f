// The practice press against textbook mechanics: it must be a believable machine, whatever the tool thinks of it.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>

#include "practice/press.hpp"
#include "practice/scenario.hpp"

using namespace halfturn;
using namespace halfturn::practice;

namespace {

constexpr double tick_s = 0.0005;

// No toe, no late give, no wedging, no pivoting: what textbooks treat.
PressSpec plain_press() {
    PressSpec press;
    press.slack_mm = 0.1;
    press.toe_mm = 0;
    press.relaxing_share = 0;
    return press;
}

SeatSpec plain_seat() {
    SeatSpec seat;
    seat.length_mm = 100;  // so long that the grip hardly changes over a jump
    seat.tightening = 0;
    seat.regrip = 0;
    return seat;
}

void turn_until(Press& press, double turns_per_s, double longest_s, auto&& enough) {
    for (double t_s = 0; t_s < longest_s && !enough(); t_s += tick_s) press.advance(tick_s, turns_per_s);
}

}  // namespace

TEST_CASE("no force without contact") {
    Press press(plain_press(), plain_seat());
    turn_until(press, 0.1, 60, [&] { return press.squeeze_mm() >= -1e-6; });
    CHECK(press.screw_mm() == Approx(0.1).margin(1e-4));
    CHECK(press.force_N() == 0);
    CHECK(press.work_Nmm() == 0);
    press.advance(0.01, 0.1);
    CHECK(press.force_N() > 0);
}

TEST_CASE("past its toe the stack has the stiffness it was given, and the toe costs just its length") {
    PressSpec spec = plain_press();
    spec.toe_mm = 0.02;
    SeatSpec seat = plain_seat();
    seat.bond_N = 1e9;
    Press press(spec, seat);
    turn_until(press, 0.1, 60, [&] { return press.force_N() >= 4000; });
    const double force_N = press.force_N(), squeeze_mm = press.squeeze_mm();
    turn_until(press, 0.1, 60, [&] { return press.force_N() >= 5000; });
    CHECK((press.force_N() - force_N) / (press.squeeze_mm() - squeeze_mm) == Approx(20000).epsilon(0.01));
    CHECK(squeeze_mm - force_N / 20000 == Approx(0.02).epsilon(0.1));
}

TEST_CASE("the ring lets go at its static limit") {
    SECTION("plain: friction times grip") {
        Press press(plain_press(), plain_seat());
        turn_until(press, 0.02, 60, [&] { return press.ring().moving(); });
        CHECK(press.force_N() == Approx(0.14 * 4800).margin(20000 * 1.25 * 0.02 * tick_s * 1.01));
    }
    SECTION("pushed through the balls: the push adds to the grip") {
        SeatSpec seat = plain_seat();
        seat.tightening = 0.8;
        Press press(plain_press(), seat);
        turn_until(press, 0.02, 60, [&] { return press.ring().moving(); });
        CHECK(press.force_N() == Approx(0.14 * 4800 / (1 - 0.14 * 0.8)).epsilon(0.002));
        CHECK(lets_go_at_N(seat) == Approx(0.14 * 4800 / (1 - 0.14 * 0.8)).epsilon(1e-6));
    }
}

// A mass on a spring against steady friction, let go by a step of Fs - Fk: it overshoots by exp(-pi z / sqrt(1 - z^2))
// of the step (second-order step response, any vibration textbook; Den Hartog, Mechanical Vibrations, ch. 2).
TEST_CASE("the jump at release is that of a damped mass on a spring") {
    const double damping_ratio = GENERATE(0.0, 0.2, 0.5, 0.8);
    SeatSpec seat = plain_seat();
    seat.length_mm = 1000;
    const double k = 20000, mass = seat.mass_kg / 1000;  // N, mm, s
    seat.damping_Ns_per_mm = damping_ratio * 2 * std::sqrt(k * mass);
    Press press(plain_press(), seat);
    turn_until(press, 0.002, 300, [&] { return press.ring().moving(); });
    turn_until(press, 0, 1, [&] { return !press.ring().moving(); });
    const double step_mm = 0.14 * 4800 * (1 - 1 / 1.25) / k;
    const double overshoot = damping_ratio < 1
        ? std::exp(-M_PI * damping_ratio / std::sqrt(1 - damping_ratio * damping_ratio)) : 0;
    CHECK(press.ring().slid_mm() == Approx(step_mm * (1 + overshoot)).epsilon(0.04));
}

TEST_CASE("forces balance: standing within what holds, sliding steadily at what drags") {
    const auto& kind = find_scenario(GENERATE("clean", "galled", "tilting", "press-in"));
    const Scenario scenario = make_scenario(kind, 5, {});
    Press press(scenario.press, scenario.seat);
    const double limit_step_N = scenario.press.stiffness_N_per_mm * 1.25 * 0.2 * tick_s;
    double last_mm = 0, steady_error = 0, steady = 0;
    bool balanced = true, forwards = true;
    for (double t_s = 0; t_s < 32; t_s += tick_s) {
        press.advance(tick_s, 0.2);
        const Ring& ring = press.ring();
        const double push_N = press.force_N();
        if (!ring.moving()) balanced = balanced && std::fabs(push_N - ring.shoulder_N()) <= ring.holds_N(push_N) + limit_step_N;
        if (ring.moving() && std::fabs(ring.speed_mm_per_s() - 0.25) < 0.01 && !ring.home() && !ring.clear()) {
            const double resists_N = ring.drags_N(push_N) + scenario.seat.damping_Ns_per_mm * ring.speed_mm_per_s();
            steady_error += std::fabs(push_N - resists_N);
            steady += push_N;
        }
        // A ring on its shoulder may spring back a little; nowhere else does it go backwards.
        forwards = forwards && (ring.slid_mm() >= last_mm || ring.home());
        last_mm = ring.slid_mm();
    }
    CHECK(balanced);
    CHECK(forwards);
    CHECK(steady > 0);
    CHECK(steady_error < 0.02 * steady);
}

TEST_CASE("the energy account closes") {
    const auto& kind = find_scenario(GENERATE("clean", "bonded", "galled", "tilting", "drift-slips", "overdriven"));
    const Scenario scenario = make_scenario(kind, GENERATE(1U, 2U), {});
    Press press(scenario.press, scenario.seat);
    double worst = 0;
    for (double t_s = 0; t_s < 30; t_s += tick_s) {
        press.advance(tick_s, press.force_N() > 9000 || t_s > 28 ? -0.1 : 0.25);
        if (press.work_Nmm() > 50) worst = std::max(worst, std::fabs(press.accounted_Nmm() / press.work_Nmm() - 1));
    }
    CHECK(worst < 0.02);
    CHECK(press.work_Nmm() > 50);
}

TEST_CASE("half the step gives the same job") {
    const Scenario scenario = make_scenario(find_scenario("clean"), 7, {});
    Press coarse(scenario.press, scenario.seat), fine(scenario.press, scenario.seat);
    double coarse_peak_N = 0, fine_peak_N = 0;
    for (double t_s = 0; t_s < 20; t_s += tick_s) {
        coarse.advance(tick_s, 0.3);
        coarse_peak_N = std::max(coarse_peak_N, coarse.force_N());
        for (int half = 0; half < 2; ++half) {
            fine.advance(tick_s / 2, 0.3);
            fine_peak_N = std::max(fine_peak_N, fine.force_N());
        }
    }
    CHECK(coarse_peak_N == Approx(fine_peak_N).epsilon(0.006));
    CHECK(coarse.ring().slid_mm() == Approx(fine.ring().slid_mm()).epsilon(0.001));
}

TEST_CASE("grip follows the table of the seat, the edges hold to the last chamfer") {
    SeatSpec seat;
    seat.edge_share = 0.2;
    SECTION("even") {
        seat.grip_N = 1000;
        const Ring ring(seat);
        CHECK(ring.grip_N() == Approx(1000));
    }
    SECTION("the half the ring leaves first holds nothing: sliding half way out changes only the edges' share") {
        seat.work = Work::out;
        seat.static_over_kinetic = 1;
        seat.tightening = 0;
        seat.grip_per_mm = Table({{0, 0}, {3.5, 0}, {3.51, 1}, {7, 1}});
        Press press(plain_press(), seat);
        turn_until(press, 0.3, 60, [&] { return press.ring().slid_mm() >= 3.4; });
        CHECK(press.ring().grip_N() == Approx(4800).epsilon(0.01));
        turn_until(press, 0.3, 60, [&] { return press.ring().slid_mm() >= 5.25; });
        CHECK(press.ring().grip_N() == Approx(4800 * (0.8 * 0.5 + 0.2)).epsilon(0.01));
        turn_until(press, 0.3, 60, [&] { return press.ring().clear(); });
        CHECK(press.ring().grip_N() == 0);
    }
}

TEST_CASE("glue tears once and is gone") {
    SeatSpec seat = plain_seat();
    seat.bond_N = 7000;
    Press press(plain_press(), seat);
    turn_until(press, 0.1, 60, [&] { return press.ring().moving(); });
    CHECK(press.force_N() == Approx(7000 + 0.14 * 4800).epsilon(0.005));
    press.advance(0.3, 0);
    CHECK(press.force_N() < 0.14 * 4800);
    CHECK(press.ring().slid_mm() > 0.3);
}

TEST_CASE("off-axis: a knee, then it climbs and lets go above the straight pull") {
    SeatSpec seat = plain_seat();
    seat.knee_N = 300;
    seat.pivot_N_per_mm = 8000;
    seat.cocking_per_mm = 6;
    Press press(plain_press(), seat);
    const auto slope = [&](double to_N) {
        const double screw_mm = press.screw_mm(), force_N = press.force_N();
        turn_until(press, 0.05, 60, [&] { return press.force_N() >= to_N || press.ring().moving(); });
        return (press.force_N() - force_N) / (press.screw_mm() - screw_mm);
    };
    slope(50);
    const double before = slope(280), after = (slope(400), slope(650));
    CHECK(before == Approx(20000).epsilon(0.02));
    CHECK(after == Approx(1 / (1 / 20000.0 + 1 / 8000.0)).epsilon(0.05));  // two springs in line
    turn_until(press, 0.05, 60, [&] { return press.ring().moving(); });
    CHECK(press.force_N() > 1.4 * 0.14 * 4800);
}

TEST_CASE("a drift that jumps off lets the force fall while the ring stands, and takes hold anew") {
    PressSpec spec = plain_press();
    spec.slips_at_N = 400;
    Press press(spec, plain_seat());
    turn_until(press, 0.1, 60, [&] { return press.drift_slipped(); });
    CHECK(press.force_N() == 0);
    CHECK(press.ring().slid_mm() == 0);
    turn_until(press, 0.1, 60, [&] { return press.ring().moving(); });
    CHECK(press.force_N() == Approx(0.14 * 4800).epsilon(0.005));
}

TEST_CASE("home is a shoulder: the force climbs as two springs in line") {
    SeatSpec seat = plain_seat();
    seat.work = Work::in;
    seat.length_mm = 3;
    seat.static_over_kinetic = 1;
    Press press(plain_press(), seat);
    turn_until(press, 0.2, 60, [&] { return press.ring().home() && press.force_N() > 2000; });
    const double screw_mm = press.screw_mm(), force_N = press.force_N();
    turn_until(press, 0.2, 60, [&] { return press.force_N() > 3000; });
    const double in_line = 1 / (1 / 20000.0 + 1 / seat.shoulder_N_per_mm);
    CHECK((press.force_N() - force_N) / (press.screw_mm() - screw_mm) == Approx(in_line).epsilon(0.03));
    turn_until(press, -0.2, 60, [&] { return press.force_N() == 0; });
    CHECK(press.ring().slid_mm() == Approx(3).margin(0.02));  // it stays in when the load is off
}

TEST_CASE("a held end that creeps takes turns and gives no travel") {
    PressSpec spec = plain_press();
    spec.creeping_share = 0.25;
    spec.creeping_above_N = 0;
    SeatSpec seat = plain_seat();
    seat.bond_N = 1e9;
    Press press(spec, seat);
    turn_until(press, 0.1, 60, [&] { return press.force_N() > 0; });
    const double turns = press.turns(), screw_mm = press.screw_mm();
    press.advance(1, 0.1);
    CHECK((press.screw_mm() - screw_mm) / (press.turns() - turns) == Approx(0.75 * 1.25).epsilon(1e-6));
}
