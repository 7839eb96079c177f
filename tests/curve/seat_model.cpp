// The seat model against finite-element runs (two independent axisymmetric solvers that agreed to 0.4 %, one
// of them CalculiX 2.20), and its parts against closed forms.
#include "curve/seat_model.hpp"

#include <boost/math/distributions/normal.hpp>
#include <catch2/catch.hpp>
#include <cmath>

#include "curve/band.hpp"
#include "curve/doubt.hpp"
#include "curve/lattice.hpp"
#include "fit/csv.hpp"
#include "fit/interference_fit.hpp"

using namespace halfturn;
using namespace halfturn::curve;

namespace {

JobFile ring_in_hub(const std::string& shape, double d, double D, double B, double wall) {
    JobFile job;
    job.file = "job.toml";
    job.bearing = {{}, d, D, B, true, "CN"};
    job.seat_fit.bore_mm = D - 0.01;
    job.seat_fit.bore_u_um = 1;
    job.seat_fit.outside_mm = D;
    job.seat_fit.outside_u_um = 1;
    job.housing.material = "6082-T6";  // E 70 GPa, nu 0.33, as the finite-element runs had it
    job.housing.outside_diameter_mm = wall * D;
    job.housing.shape = shape == "flush" ? HousingShape::flush : HousingShape::shoulder_behind;
    return job;
}

fit::GripLeft usual_fall() {
    return {{0, 1, 2, 3, 4, 5, 6, 6.6}, {1, 0.88, 0.77, 0.65, 0.53, 0.43, 0.33, 0}};
}

}  // namespace

TEST_CASE("The grip of a whole job is within 6 % of finite-element runs, and carries over to other walls") {
    for (const auto& row : test::read_csv("../curve/grip_fe.csv")) {
        const double D = row.must("D_mm"), d = row.must("d_mm"), B = row.must("B_mm");
        INFO(row.text("ring") << " " << row.text("shape") << " " << row.text("wall_ratio"));
        const auto facts =
            facts_from(ring_in_hub(row.text("shape"), d, D, B, row.must("wall_ratio")), nullptr);
        CHECK(SeatModel(facts).N_per_um(facts.hub_outside_mm.middle(), 70) ==
              Approx(row.must("N_per_um")).epsilon(0.06));
        // The same wall reached from a job that was set up for another one, 1.3.
        const auto other = facts_from(ring_in_hub(row.text("shape"), d, D, B, 1.3), nullptr);
        CHECK(SeatModel(other).N_per_um(row.must("wall_ratio") * D, 70) ==
              Approx(row.must("N_per_um")).epsilon(0.09));
    }
}

TEST_CASE("A housing given step by step grips as the named shape it equals") {
    JobFile named = ring_in_hub("shoulder-behind", 15, 28, 7, 1.3), steps = named;
    steps.housing.shape = HousingShape::unknown;
    steps.housing.section = {{7, 28, 25.5, 36.4}, {0, 7, 28, 36.4}};  // in any order
    CHECK(facts_from(steps, nullptr).seat.N_per_um ==
          Approx(facts_from(named, nullptr).seat.N_per_um).epsilon(0.005));
    // The shape is told, so less is left in doubt; and the outside comes from the step over the seat.
    CHECK(facts_from(steps, nullptr).grip_model.b <= facts_from(named, nullptr).grip_model.b);
    CHECK(facts_from(steps, nullptr).hub_outside_mm.a == 36.4);
    steps.housing.section[0].from_mm = 8;
    CHECK_THROWS_WITH(facts_from(steps, nullptr), Catch::Contains("without gap"));
}

TEST_CASE("A softer or harder hub grips as the thick-cylinder formula says") {
    const auto facts = facts_from(ring_in_hub("flush", 15, 28, 7, 1.3), nullptr);
    const SeatModel model(facts);
    for (const double E : {45.0, 113.8, 208.0}) {
        const fit::TwoBodies bodies{facts.ring.equal_area_bore_mm, 28, 36.4, 208, 0.30, E, 0.33};
        const fit::TwoBodies reference{facts.ring.equal_area_bore_mm, 28, 36.4, 208, 0.30, 70, 0.33};
        CHECK(model.N_per_um(36.4, E) / model.N_per_um(36.4, 70) ==
              Approx(fit::pressure_per_um(bodies) / fit::pressure_per_um(reference)).epsilon(0.02));
    }
}

TEST_CASE("Grip left along the slide is that of the section, and ends where the ring is clear") {
    const auto left = usual_fall();
    const GripFall fall(left);
    for (double mm = -0.5; mm < 7; mm += 0.07) CHECK(fall.at(mm) == Approx(left.at(mm)).margin(0.005));
    CHECK(fall.clear_mm() == 6.6);
    CHECK(fall.at(6.6) == 0);
}

TEST_CASE("The pull through the balls is that of the exact solution within 2 %") {
    const auto ring = fit::ring_section({15, 28, 7, true});
    fit::BallPath path = fit::ball_path(ring);
    const BallAngles balls(path, -6, 25, 4000);
    for (const double friction : {0.05, 0.13, 0.2, 0.28})
        for (const double normal_N : {500.0, 2000.0, 5000.0})
            for (const double clearance_um : {-4.0, 2.0, 8.0, 18.0}) {
                Grip grip;
                grip.normal_N = normal_N;
                grip.lambda = 0.49;
                grip.clearance_row = balls.row_of(clearance_um);
                path.clearance_um = clearance_um;
                const auto exact =
                    fit::release_across_balls(path, friction * normal_N, friction * grip.lambda);
                INFO("friction " << friction << ", grip " << normal_N << " N, play " << clearance_um
                                 << " um");
                CHECK(friction_force_N(grip, balls, friction) ==
                      Approx(std::min(exact.force_N, 2.2 * friction * normal_N)).epsilon(0.02));
            }
}

TEST_CASE("The pull off the axis, and its limit") {
    const BallAngles straight;  // nothing goes through the balls
    Grip grip;
    grip.normal_N = 1000;
    CHECK(friction_force_N(grip, straight, 0.13) == Approx(130));
    grip.off_axis_over_L = 0.21 / 0.13;
    CHECK(friction_force_N(grip, straight, 0.13) == Approx(130 * 1.07).epsilon(0.015));
    grip.off_axis_over_L = 10;  // beyond cocking: limited, not infinite
    CHECK(friction_force_N(grip, straight, 0.13) == Approx(130 * 2.2));
    const BallAngles balls(fit::ball_path(fit::ring_section({15, 28, 7, true})), 0, 20, 4000);
    grip.off_axis_over_L = 0.7;
    grip.lambda = 0.5;
    double before = 0;
    for (double mu = 0.01; mu < 1; mu += 0.01) {  // never falls with friction, whatever the limits do
        const double force = friction_force_N(grip, balls, mu);
        CHECK(force > before);
        before = force;
    }
}

TEST_CASE("The knee of an off-axis pull follows the rigid-plastic limit") {
    for (double t = 2.0; t < 3.14; t += 0.01) {
        const double pi = 3.14159265358979;
        CHECK(knee_share(2 * std::sin(t) / (2 * t - pi)) == Approx(2 * t / pi - 1).margin(0.005));
    }
    CHECK(knee_share(0) == 1);
}

TEST_CASE("Winding the press up and back") {
    const Seat seat{1000, 800, 20000, 0.04, 1000, 0};
    const GripFall fall(usual_fall());
    for (const double force : {1.0, 100.0, 399.0, 401.0, 999.0})
        CHECK(force_out_N(seat, fall, wind_up_mm(seat, force)) == Approx(force).epsilon(1e-9));
    CHECK(wind_up_mm(seat, 20000) == Approx(1 + 0.02));
    CHECK(force_out_N(seat, fall, 0.08) == Approx(800).epsilon(0.01));
    CHECK(force_out_N(seat, fall, 8) == 0);
    // Off the axis the wind-up softens from the knee on, and takes 0.1 mm more to the same release.
    Seat pivoting = seat;
    pivoting.knee_N = 600;
    pivoting.softening_mm = 0.1;
    for (const double force : {1.0, 599.0, 601.0, 999.0})
        CHECK(force_out_N(pivoting, fall, wind_up_mm(pivoting, force)) == Approx(force).epsilon(2e-3));
    CHECK(wind_up_mm(pivoting, 1000) == Approx(wind_up_mm(seat, 1000) + 0.1));
    CHECK(wind_up_mm(pivoting, 600) == wind_up_mm(seat, 600));
    CHECK(force_in_N(seat, fall, 0) == 0);
    CHECK(force_in_N(seat, fall, 6.64) == Approx(800).epsilon(0.01));
    CHECK(force_in_N(seat, fall, 6.6 + 0.06 + 0.1) == Approx(800 + 2000).epsilon(0.01));
}

TEST_CASE("Normal quantiles agree with Boost.Math") {
    const boost::math::normal_distribution<double> normal_distribution;
    for (double u = 1e-9; u < 1; u = u < 0.5 ? u * 1.7 : u + 0.013)
        CHECK(normal_quantile(u) == Approx(quantile(normal_distribution, u)).epsilon(2e-9).margin(1e-9));
    const Doubt friction = log_range(0.08, 0.28, {});
    CHECK(friction.at(0.025) == Approx(0.08));
    CHECK(friction.at(0.975) == Approx(0.28));
    CHECK(between(-9, 0, {}).at(0.25) == -6.75);
    CHECK(normal(5, 2, {}).at(0.975) == Approx(5 + 2 * 1.959964));
}

TEST_CASE("The lattice covers each coordinate evenly and integrates smooth functions closely") {
    const Lattice lattice(1u << 14, 42);
    for (std::size_t j = 0; j < Lattice::dimensions; ++j) {
        std::vector<int> cells(256);
        for (std::uint32_t i = 0; i < lattice.points(); ++i) {
            const double x = lattice.at(i, j);
            if (!(x > 0 && x < 1)) FAIL("outside (0, 1)");
            ++cells[static_cast<std::size_t>(x * 256)];
        }
        for (const int cell : cells) CHECK(cell == 64);
    }
    // Genz's product peak in six coordinates, whose integral is known.
    double sum = 0, exact = 1;
    for (int j = 0; j < 6; ++j) exact *= 2 * std::atan(1.0);  // integral of 1/(0.25 + (x - 0.5)^2) is pi
    for (std::uint32_t i = 0; i < lattice.points(); ++i) {
        double product = 1;
        for (std::size_t j = 0; j < 6; ++j) {
            const double x = lattice.at(i, j) - 0.5;
            product *= 0.5 / (0.25 + x * x);
        }
        sum += product / lattice.points();
    }
    CHECK(sum == Approx(exact).epsilon(1e-3));
}

TEST_CASE("Bands are the sample's quantiles") {
    std::vector<double> samples;
    for (int i = 0; i < 1000; ++i) samples.push_back((i * 389) % 1000 + 0.5);  // 0.5 to 999.5, shuffled
    const Band band = band_of(samples);
    CHECK(band.low == Approx(25));
    CHECK(band.mid == Approx(500));
    CHECK(band.high == Approx(975));
}
