// The pull across the balls: Hertz, contact angles and how much the seat tightens.
#include "fit/pull.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "core/failure.hpp"
#include "fit/bearings.hpp"
#include "fit/seat_stiffness.hpp"

using namespace halfturn::fit;
using halfturn::HousingShape;

namespace {

// Approach at 1 N by the simplified formulas of Brewe and Hamrock (Journal of Lubrication Technology 99, 1977).
double brewe_hamrock(double curvature_x, double curvature_y, double E_MPa, double nu) {
    const double ratio = curvature_x / curvature_y;  // the rolling direction is curved more
    const double k = 1.0339 * std::pow(ratio, 0.6360);
    const double second = 1.0003 + 0.5968 / ratio, first = 1.5277 + 0.6023 * std::log(ratio);
    const double reduced = E_MPa / (1 - nu * nu), R = 1 / (curvature_x + curvature_y);
    return first * std::cbrt(4.5 / (second * R) * std::pow(1 / (std::numbers::pi * k * reduced), 2));
}

BallPath path_of(const char* designation, double clearance_um) {
    const Bearing b = find_bearing(designation);
    BallPath path = ball_path(ring_section({b.d_mm, b.D_mm, b.B_mm, true}));
    path.clearance_um = clearance_um;
    return path;
}

}  // namespace

TEST_CASE("a ball gives in its grooves as published fits of Hertz's theory say", "[pull]") {
    for (const char* name : {"61800", "61902", "6204", "6306"}) {
        const BallPath p = path_of(name, 0);
        const double ratio = p.ball_mm / p.pitch_mm, ball = 2 / p.ball_mm, groove = 1 / p.groove_radius_mm;
        const double inner =
            brewe_hamrock(ball + ball * ratio / (1 - ratio), ball - groove, p.E_GPa * 1e3, p.nu);
        const double outer =
            brewe_hamrock(ball - ball * ratio / (1 + ratio), ball - groove, p.E_GPa * 1e3, p.nu);
        CHECK(ball_give(p) == Approx(inner + outer).epsilon(0.03));
    }
}

TEST_CASE("the 218 bearing of the textbook has the textbook's contact angle", "[pull]") {
    // Harris, Rolling Bearing Analysis: 16 balls of 22.23 mm on 125.3 mm, free angle 40°, grooves 11.63 mm; 17.8 kN of
    // thrust give 41.6° (from memory, not looked up).
    BallPath p;
    p.ball_mm = 22.23;
    p.ball_count = 16;
    p.pitch_mm = 125.3;
    p.groove_radius_mm = 11.63;
    p.E_GPa = 207;
    const double A = 2 * p.groove_radius_mm - p.ball_mm;
    p.clearance_um = 2e3 * A * (1 - std::cos(40 * std::numbers::pi / 180));
    CHECK(contact_angle_deg(p, 0) == Approx(40).margin(1e-6));
    CHECK(contact_angle_deg(p, 17800) == Approx(41.6).margin(0.2));
}

TEST_CASE("pulling across the balls needs the factor that friction and angle give", "[pull]") {
    for (const char* name : {"61800", "61802", "61902", "6001", "6202", "6204"}) {
        const Bearing b = find_bearing(name);
        const RingSection ring = ring_section({b.d_mm, b.D_mm, b.B_mm, true});
        const SeatStiffness seat = seat_stiffness_by_correction(
            ring, {.shape = HousingShape::shoulder_behind, .outside_mm = 1.3 * b.D_mm});
        for (const double clearance : {0.0, 6.0, 18.0}) {
            double last = 10;
            for (const double delta : {5.0, 15.0}) {
                const BallPath path = path_of(name, clearance);
                const double on_ring = 0.13 * seat.N_per_um * delta, gain = 0.13 * seat.lambda;
                const AcrossBalls pull = release_across_balls(path, on_ring, gain);
                CAPTURE(name, clearance, delta);
                CHECK(pull.factor > 1.13);
                CHECK(pull.factor < 1.40);
                CHECK(pull.factor < last);  // more load, steeper balls, less spreading
                last = pull.factor;
                // The closed form at the angle found, and that angle at the force found.
                const double cot = 1 / std::tan(pull.contact_angle_deg * std::numbers::pi / 180);
                CHECK(pull.force_N == Approx(on_ring / (1 - gain * cot)).epsilon(1e-6));
                CHECK(contact_angle_deg(path, pull.force_N) == Approx(pull.contact_angle_deg).margin(1e-6));
            }
        }
    }
}

TEST_CASE("clearance and preload move the factor the right way", "[pull]") {
    const double tight = release_across_balls(path_of("61902", 0), 500, 0.065).factor;
    const double loose = release_across_balls(path_of("61902", 15), 500, 0.065).factor;
    CHECK(loose < tight);
    CHECK(release_across_balls(path_of("61902", 5), 500, 0).factor == Approx(1).epsilon(1e-9));
    CHECK(release_across_balls(path_of("61902", 5), 0, 0.065).force_N == Approx(0).margin(1e-6));
    // Preload has spread the ring before the pull began, so only its growth counts.
    const double preloaded = release_across_balls(path_of("61902", -5), 500, 0.065).factor;
    CHECK(preloaded > 1);
    CHECK(preloaded < tight * 1.05);
    CHECK_THROWS_AS(release_across_balls(path_of("61902", 5000), 500, 0.065), halfturn::BadInput);
    CHECK_THROWS_AS(release_across_balls(path_of("61902", 5), -1, 0.065), halfturn::BadInput);
    CHECK_THROWS_AS(contact_angle_deg(path_of("61902", 5), -1), halfturn::BadInput);
}
