// The section solver against closed formulas, figures of independent solvers, and what must hold for any elastic body.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <random>

#include "fit/bearings.hpp"
#include "fit/seat_stiffness.hpp"
#include "fit/section_solver.hpp"

using namespace halfturn::fit;
using halfturn::HousingShape;

namespace {

constexpr Elastic aluminium{70e3, 0.33};

Housing stepped(std::vector<HousingStep> steps, double seat_from_mouth_mm) {
    Housing housing;
    housing.steps = std::move(steps);
    housing.seat_from_mouth_mm = seat_from_mouth_mm;
    return housing;
}

RingSection sealed_ring(const char* designation) {
    const Bearing bearing = find_bearing(designation);
    return ring_section({bearing.d_mm, bearing.D_mm, bearing.B_mm, true});
}

// Plane-stress Lamé, both bodies as long as each other (Shigley's Mechanical Engineering Design, press and shrink fits).
double lame_N_per_um(double bore, double D, double Do, double B, const Elastic& in, const Elastic& out) {
    const double inner = D / in.E_MPa * ((D * D + bore * bore) / (D * D - bore * bore) - in.nu);
    const double outer = D / out.E_MPa * ((Do * Do + D * D) / (Do * Do - D * D) + out.nu);
    return 1e-3 * std::numbers::pi * D * B / (inner + outer);
}

}  // namespace

TEST_CASE("plain cylinders of one length give Lamé's pressure, even and exact", "[solver]") {
    for (const double wall : {1.1, 1.5, 3.0}) {
        for (const Elastic& metal : {aluminium, Elastic{208e3, 0.30}, Elastic{45e3, 0.35}}) {
            const double bore = 22, D = 28, B = 7;
            const RingSection ring = plain_ring(bore, D, B);
            const SectionResult r = solve_section(
                ring, housing_section({.shape = HousingShape::flush, .outside_mm = wall * D}, ring), metal);
            const double N = lame_N_per_um(bore, D, wall * D, B, {208e3, 0.30}, metal);
            CAPTURE(wall, metal.E_MPa);
            CHECK(r.N_per_um == Approx(N).epsilon(1e-4));
            const double p = N / (std::numbers::pi * D * B);
            for (const SeatPoint& point : r.seat) CHECK(point.pressure_MPa_per_um == Approx(p).epsilon(2e-3));
            // Hoop stress at the bore of a thick cylinder, p (Do² + D²)/(Do² - D²).
            CHECK(r.hoop_mean_MPa_per_um == Approx(p * (wall * wall + 1) / (wall * wall - 1)).epsilon(2e-3));
            // Bore of the ring: 2 p D² bore / (E (D² - bore²)).
            CHECK(r.raceway_um_per_um ==
                  Approx(2e3 * p * D * D * bore / (208e3 * (D * D - bore * bore))).epsilon(1e-3));
        }
    }
}

TEST_CASE("plain cylinders agree with the kept cases of two independent methods", "[solver]") {
    struct Row {
        double bore, D, Do, delta_um;
        Elastic metal;
        double B, p_MPa, bore_change_um, hoop_MPa;
    };
    for (const Row& row : {Row{25.4, 28, 40, 13, {68.9e3, 0.33}, 7, 4.87497348039, -6.723169995, 14.242570},
                           Row{25.4, 28, 40, 13, {208e3, 0.30}, 7, 7.30763348626, -10.07809835, 21.349753},
                           Row{37.6, 42, 60, 20, {113.8e3, 0.34}, 12, 6.72216428326, -12.24042407, 19.639264},
                           Row{31, 35, 70, 25, {68.9e3, 0.33}, 11, 10.6062024033, -14.6696728, 17.677004},
                           Row{25.4, 28, 31, 13, {68.9e3, 0.33}, 7, 2.3697296298, -3.268139859, 23.362589}}) {
        const RingSection ring = plain_ring(row.bore, row.D, row.B);
        const SectionResult r = solve_section(
            ring, housing_section({.shape = HousingShape::flush, .outside_mm = row.Do}, ring), row.metal);
        CHECK(r.N_per_um * row.delta_um / (std::numbers::pi * row.D * row.B) ==
              Approx(row.p_MPa).epsilon(5e-4));
        CHECK(-r.raceway_um_per_um * row.delta_um == Approx(row.bore_change_um).epsilon(1e-3));
        CHECK(r.hoop_mean_MPa_per_um * row.delta_um == Approx(row.hoop_MPa).epsilon(2e-3));
    }
}

TEST_CASE("real rings agree with two independent finite-element solvers", "[solver]") {
    struct Row {
        const char* ring;
        HousingShape shape;
        double wall, N_per_um, raceway;
    };
    using enum HousingShape;
    for (const Row& row :
         {Row{"61902", flush, 1.15, 148.0, 0.281}, Row{"61902", flush, 1.3, 216.8, 0.414},
          Row{"61902", flush, 1.6, 280.8, 0.536}, Row{"61902", flush, 2.5, 336.0, 0.641},
          Row{"61902", shoulder_behind, 1.15, 184.1, 0.337}, Row{"61902", shoulder_behind, 1.3, 257.6, 0.487},
          Row{"61902", shoulder_behind, 1.6, 324.7, 0.617}, Row{"61902", shoulder_behind, 2.5, 375.7, 0.714},
          Row{"61802", flush, 1.15, 100.2, 0.318}, Row{"61802", flush, 1.3, 143.4, 0.457},
          Row{"61802", flush, 1.6, 181.7, 0.579}, Row{"61802", flush, 2.5, 213.6, 0.680},
          Row{"61802", shoulder_behind, 1.15, 126.6, 0.397}, Row{"61802", shoulder_behind, 1.3, 172.1, 0.546},
          Row{"61802", shoulder_behind, 1.6, 210.3, 0.668},
          Row{"61802", shoulder_behind, 2.5, 237.0, 0.753}}) {
        const RingSection ring = sealed_ring(row.ring);
        const SectionResult r = solve_section(
            ring, housing_section({.shape = row.shape, .outside_mm = row.wall * ring.D_mm}, ring), aluminium);
        CAPTURE(row.ring, row.wall, housing_shape_id(row.shape));
        CHECK(r.N_per_um == Approx(row.N_per_um).epsilon(0.002));
        CHECK(r.raceway_um_per_um == Approx(row.raceway).epsilon(0.003));
    }
}

TEST_CASE("the grip falls as the ring slides out the way independent solvers found", "[solver]") {
    const RingSection ring = sealed_ring("61902");
    const SeatStiffness seat =
        seat_stiffness(ring, {.shape = HousingShape::shoulder_behind, .outside_mm = 1.3 * 28});
    struct Row {
        double widths, share;
    };
    for (const Row& row : {Row{0.05, 0.96}, Row{0.1, 0.92}, Row{0.2, 0.84}, Row{0.3, 0.75}, Row{0.4, 0.66},
                           Row{0.5, 0.58}, Row{0.6, 0.51}, Row{0.7, 0.43}, Row{0.8, 0.36}, Row{0.85, 0.33}}) {
        CAPTURE(row.widths);
        CHECK(seat.grip_left.at(row.widths * 7) == Approx(row.share).margin(0.0075));
    }
    CHECK(seat.grip_left.at(-1) == 1);
    CHECK(seat.grip_left.at(7) == 0);
    CHECK(seat.grip_left.clear_mm() == Approx(7 - ring.chamfer_mm));
    CHECK(seat.lambda > 0.4);  // stated range in such a hub
    CHECK(seat.lambda < 0.6);
    CHECK(seat.method == StiffnessMethod::section);
}

TEST_CASE("the solution is the same on a mesh twice as fine, to 0.3 %", "[solver]") {
    for (const char* name : {"61802", "6202", "6306"}) {
        const RingSection ring = sealed_ring(name);
        for (const HousingShape shape :
             {HousingShape::flush, HousingShape::long_tube, HousingShape::flange_over_seat}) {
            for (const double wall : {1.15, 2.0}) {
                const HousingSection housing =
                    housing_section({.shape = shape, .outside_mm = wall * ring.D_mm}, ring);
                const SectionResult usual = solve_section(ring, housing, aluminium);
                const SectionResult fine = solve_section(ring, housing, aluminium, 0, {0.03, 0.2, 0.08});
                CAPTURE(name, housing_shape_id(shape), wall);
                CHECK(fine.unknowns > 2 * usual.unknowns);
                CHECK(usual.N_per_um == Approx(fine.N_per_um).epsilon(0.003));
                CHECK(usual.raceway_um_per_um == Approx(fine.raceway_um_per_um).epsilon(0.005));
            }
        }
    }
}

TEST_CASE("what any elastic seat must obey holds on random rings and hubs", "[solver]") {
    std::mt19937 random(7);  // its raw words are the same everywhere; distributions are not
    const auto between = [&](double low, double high) {
        return low + (high - low) * (static_cast<double>(random()) / 4294967296.0);
    };
    const auto names = bearing_designations();
    for (int trial = 0; trial < 60; ++trial) {
        const Bearing b = find_bearing(names[random() % names.size()]);
        RingMeasures measured;
        if (trial % 2 == 0) {
            const double ball = ring_section({b.d_mm, b.D_mm, b.B_mm, true}).ball_mm;
            measured.ball_mm = ball * between(0.92, 1.08);
        }
        const RingSection ring = ring_section({b.d_mm, b.D_mm, b.B_mm, trial % 3 != 0}, measured);
        const double D = ring.D_mm, B = ring.B_mm, Do = D * between(1.08, 2);
        const double lip = between(0.1, 0.8) * B, flange = Do + between(1, 30);
        Housing housing =
            stepped({{lip, D, Do}, {B + between(0, 3), D, flange}, {between(1, 40), D - between(0.5, 6), Do}},
                    lip * between(0, 1));
        const HousingSection section = housing_section(housing, ring);
        const SectionResult r = solve_section(ring, section, aluminium);
        CAPTURE(trial, b.designation, D, Do, lip, flange);
        // Pressure adds up to the force.
        double sum = 0;
        for (const SeatPoint& point : r.seat) sum += point.pressure_MPa_per_um * point.length_mm;
        CHECK(std::numbers::pi * D * sum == Approx(r.N_per_um).epsilon(1e-9));
        // Reciprocity (Betti): a line load on the groove adds to the seat what the seat takes from the groove.
        if (!r.opened) CHECK(r.lambda == Approx(r.raceway_um_per_um).epsilon(1e-6));
        // More metal never grips less; a rigid housing grips most.
        housing.steps[0].outside_mm += 2;
        const SectionResult thicker = solve_section(ring, housing_section(housing, ring), aluminium);
        CHECK(thicker.N_per_um > r.N_per_um * 0.9995);
        const SectionResult rigid = solve_section(ring, section, {70e6, 0.33});
        CHECK(rigid.N_per_um > r.N_per_um);
        // Clapeyron: everything scales with both moduli.
        RingSection doubled = ring;
        doubled.E_GPa *= 2;
        const SectionResult twice = solve_section(doubled, section, {2 * aluminium.E_MPa, aluminium.nu});
        CHECK(twice.N_per_um == Approx(2 * r.N_per_um).epsilon(1e-8));
    }
}

TEST_CASE("a housing mirrored end for end grips the same", "[solver]") {
    const RingSection ring = sealed_ring("6001");
    const double D = ring.D_mm, B = ring.B_mm;
    const Housing one = stepped({{2, D, 38}, {B, D, 36}, {9, 24, 44}, {5, 26, 36}}, 2);
    const Housing other = stepped({{5, 26, 36}, {9, 24, 44}, {B, D, 36}, {2, D, 38}}, 14);
    const double a = solve_section(ring, housing_section(one, ring), aluminium).N_per_um;
    const double b = solve_section(ring, housing_section(other, ring), aluminium).N_per_um;
    CHECK(a == Approx(b).epsilon(1e-6));
}

TEST_CASE("on a way out wider than the ring nothing grips until it is narrow again", "[solver]") {
    const RingSection ring = sealed_ring("61902");
    const double D = ring.D_mm;
    const Housing hub = stepped({{3, D, 40}, {12, D + 1, 42}, {7, D, 40}, {20, 25, 40}}, 15);
    const SeatStiffness seat = seat_stiffness(ring, hub);
    CHECK(seat.grip_left.clear_mm() == Approx(15 + 7 - ring.chamfer_mm));
    CHECK(seat.grip_left.at(12.8) > 0);  // on the land at the mouth
    double least = 1;
    for (const double share : seat.grip_left.share) least = std::min(least, share);
    CHECK(least == 0);
    CHECK(engaged_mm(ring, housing_section(hub, ring), 9) == 0);
    CHECK(engaged_mm(ring, housing_section(hub, ring), 0) == Approx(7 - 2 * ring.chamfer_mm));
}

TEST_CASE("the closed formula's doubt covers what steps turn out to be", "[solver]") {
    const RingSection ring = sealed_ring("61804");
    for (const Housing& hub :
         {stepped({{2.5, 34, 40}, {8.5, 32, 38}, {3, 28, 70}, {15, 28, 38}}, 3), stepped({{7, 32, 36}}, 0),
          stepped({{20, 32, 60}, {7, 32, 36}, {20, 32, 60}}, 20)}) {
        const SeatStiffness solved = seat_stiffness(ring, hub),
                            rough = seat_stiffness_by_correction(ring, hub);
        CHECK(std::abs(solved.N_per_um / rough.N_per_um - 1) < 2 * rough.N_per_um_rel_u);
    }
}

TEST_CASE("a circlip groove in front of the ring is bridged on the way out", "[solver]") {
    const RingSection ring = sealed_ring("61902");
    const double D = ring.D_mm;
    const Housing hub = stepped({{1.5, D, 40}, {1.2, 29.4, 40}, {7.2, D, 40}, {20, 25, 40}}, 2.7);
    const SeatStiffness seat = seat_stiffness(ring, hub);
    CHECK(seat.grip_left.clear_mm() == Approx(2.7 + 7 - ring.chamfer_mm));
    for (std::size_t i = 1; i < seat.grip_left.share.size(); ++i) {
        CHECK(seat.grip_left.travel_mm[i] > seat.grip_left.travel_mm[i - 1]);
        CHECK(seat.grip_left.share[i] < 1.05);
    }
}
