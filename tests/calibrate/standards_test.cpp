// Known forces and lengths, and the decision rule, against published values.
#include <catch2/catch.hpp>

#include "calibrate/conformity.hpp"
#include "calibrate/force_standards.hpp"
#include "calibrate/gauge_blocks.hpp"
#include "core/failure.hpp"

using namespace halfturn;
using namespace halfturn::calibrate;

TEST_CASE("air and gravity") {
    // CIPM-2007 at 20 degC, 1013.25 hPa, 50 %: 1.1992 kg/m3 (from memory); OIML R 111-1 promises 2e-4 of it.
    CHECK(air_density_kg_per_m3(20, 1013.25, 50) == Approx(1.1992).epsilon(2e-4));
    // Dry air at 0 degC and 1013.25 hPa: 1.2929 kg/m3 (handbooks).
    CHECK(air_density_kg_per_m3(0, 1013.25, 0) == Approx(1.2929).epsilon(3e-4));
    // WGS 84 normal gravity (NGA.STND.0036): equator 9.7803253359, pole 9.8321849379; 45 degrees 9.8061977
    // (from memory).
    CHECK(normal_gravity_m_per_s2(0, 0) == Approx(9.7803253359).epsilon(1e-11));
    CHECK(normal_gravity_m_per_s2(90, 0) == Approx(9.8321849379).epsilon(1e-9));
    CHECK(normal_gravity_m_per_s2(-45, 0) == Approx(9.8061977).epsilon(1e-8));
    CHECK(normal_gravity_m_per_s2(45, 1000) == Approx(9.8061977 - 0.003086).epsilon(1e-8));
}

TEST_CASE("dead weights in air") {
    // By hand: 10 kg * 9.81 * (1 - 1.2/8000) = 98.085285 N.
    const WithU force = dead_weight_force_N({10, 0.001}, {9.81, 0.0005}, {1.2, 0.06}, {8000, 100});
    CHECK(force.value == Approx(98.085285).epsilon(1e-12));
    // Relative parts 1e-4, 5.097e-5, 7.501e-6, 1.875e-6.
    CHECK(force.u / force.value == Approx(std::sqrt(1e-8 + 2.5978e-9 + 5.627e-11 + 3.52e-12)).epsilon(1e-3));
    CHECK_THROWS_AS(dead_weight_force_N({0, 0}, {9.81, 0}, {1.2, 0}, {8000, 0}), BadInput);
    CHECK_THROWS_AS(dead_weight_force_N({1, 0}, {9.81, 0}, {1.2, 0}, {1, 0}), BadInput);
}

TEST_CASE("ASTM E74 lower limit factor") {
    const LowerLimit limit = lower_limit(0.5, 0.2);
    CHECK(limit.factor_N == Approx(1.2));
    CHECK(limit.class_A_from_N == Approx(480));
    CHECK(limit.class_AA_from_N == Approx(2400));
    CHECK(lower_limit(0.01, 0.2).factor_N == 0.2);  // never below the resolution
}

TEST_CASE("thread friction of textbook screws") {
    // Shigley problem 8-4 (solution manual): thread part 10.2326 N.m at 6 kN, l = 5, dm = 22.5, f = 0.08,
    // square.
    CHECK(thread_friction(10.2326, 6000, 5, 22.5, 0) == Approx(0.08).epsilon(1e-4));
    // Shigley example 8-1: 26.177 N.m less the collar's 6.4 * 0.08 * 40/2 = 10.24 N.m, l = 8, dm = 30.
    CHECK(thread_friction(26.177 - 10.24, 6400, 8, 30, 0) == Approx(0.08).epsilon(2e-4));
    // Mott example 17-1: Acme 14.5 degrees, 1814.41 lb.in (printed 1809) at 12500 lb, L = 0.25, Dp = 1.3429
    // in, f = 0.15. Only the ratio of torque to force times diameter counts, so inches and pounds may stay.
    CHECK(thread_friction(1.81441, 12500, 0.25, 1.3429, 14.5) == Approx(0.15).epsilon(1e-3));
    CHECK_THROWS_AS(thread_friction(1, 10000, 5, 20, 30), BadInput);  // less than a frictionless screw needs
}

TEST_CASE("ISO 14253-1: inside, outside, undecided") {
    CHECK(decide(10.0, 0.1, 9.5, 10.5) == Conformity::inside);
    CHECK(decide(10.375, 0.125, 9.5, 10.5) == Conformity::inside);
    CHECK(decide(10.45, 0.1, 9.5, 10.5) == Conformity::undecided);
    CHECK(decide(10.55, 0.1, 9.5, 10.5) == Conformity::undecided);
    CHECK(decide(10.61, 0.1, 9.5, 10.5) == Conformity::outside);
    CHECK(decide(9.39, 0.1, 9.5, 10.5) == Conformity::outside);
    CHECK(decide(9.45, 0.1, {}, 10.5) == Conformity::inside);
    CHECK(decide(10.0, 0.6, 9.5, 10.5) ==
          Conformity::undecided);  // U wider than the tolerance never proves anything
    CHECK_THROWS_AS(decide(1, -1, 0, 2), BadInput);
    CHECK_THROWS_AS(decide(1, 0.1, 2, 0), BadInput);
    CHECK(guard_band(1) == Approx(1.6448536).epsilon(1e-7));
}

TEST_CASE("gauge-block limits") {
    // DIN 861 table that corresponds with ISO 3650 (looked up): te and tv in um.
    struct Row {
        double length_mm;
        const char* grade;
        double te, tv;
    };
    for (const Row& row : {Row{0.5, "0", 0.12, 0.10}, Row{10, "1", 0.20, 0.16}, Row{10, "2", 0.45, 0.30},
                           Row{10.1, "0", 0.14, 0.10}, Row{25, "1", 0.30, 0.16}, Row{25, "2", 0.60, 0.30},
                           Row{50, "0", 0.20, 0.10}, Row{50, "1", 0.40, 0.18}, Row{50, "2", 0.80, 0.30},
                           Row{75, "0", 0.25, 0.12}, Row{75, "1", 0.50, 0.18}, Row{75, "2", 1.00, 0.35},
                           Row{100, "0", 0.30, 0.12}, Row{100, "1", 0.60, 0.20}, Row{100, "2", 1.20, 0.35},
                           Row{100, "K", 0.60, 0.07}}) {
        INFO(row.length_mm << " mm grade " << row.grade);
        CHECK(gauge_block_limits(row.grade, row.length_mm).deviation_um == row.te);
        CHECK(gauge_block_limits(row.grade, row.length_mm).variation_um == row.tv);
    }
    CHECK_THROWS_AS(gauge_block_limits("3", 10), BadInput);
    CHECK_THROWS_AS(gauge_block_limits("1", 151), BadInput);
    CHECK_THROWS_AS(gauge_block_limits("1", 0.4), BadInput);
}
