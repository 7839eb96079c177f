// Grip per µm by the closed formula, against finite-element figures of two independent solvers.
#include <catch2/catch.hpp>

#include "core/failure.hpp"
#include "fit/bearings.hpp"
#include "fit/seat_stiffness.hpp"
#include "fit/section_solver.hpp"

using namespace halfturn::fit;
using halfturn::HousingShape;

TEST_CASE("the section of known rings has the sizes of the design rules", "[section]") {
    // Ring sections as the finite-element figures in tests/fit used them.
    struct Row {
        double d, D, B, ball, radius, bottom, shoulder, recess, depth, chamfer;
    };
    for (const Row& row : {Row{15, 24, 5, 2.381, 1.262, 21.89, 21.08, 22.2, 1.02, 0.45},
                           Row{17, 26, 5, 2.381, 1.262, 23.89, 23.08, 24.2, 1.02, 0.45},
                           Row{20, 32, 7, 3.572, 1.893, 29.58, 28.36, 29.4, 1.37, 0.45},
                           Row{25, 37, 7, 3.572, 1.893, 34.58, 33.36, 34.2, 1.37, 0.45},
                           Row{15, 28, 7, 3.969, 2.104, 25.48, 24.05, 25.3, 1.25, 0.45},
                           Row{12, 28, 8, 4.762, 2.524, 24.77, 22.86, 24.72, 1.32, 0.45},
                           Row{15, 35, 11, 5.953, 3.155, 30.96, 28.58, 30.35, 1.97, 0.80}}) {
        const RingSection ring = ring_section({row.d, row.D, row.B, true});
        CAPTURE(row.D);
        CHECK(ring.ball_mm == Approx(row.ball).epsilon(1e-9));
        CHECK(ring.groove_radius_mm == Approx(row.radius).margin(0.0006));
        CHECK(ring.groove_bottom_mm == Approx(row.bottom).margin(0.006));
        CHECK(ring.shoulder_mm == Approx(row.shoulder).margin(0.01));
        CHECK(ring.recess_mm == Approx(row.recess).margin(1e-9));
        CHECK(ring.recess_depth_mm == Approx(row.depth).margin(0.01));
        CHECK(ring.chamfer_mm == Approx(row.chamfer).margin(1e-9));
    }
}

TEST_CASE("every bearing of the tables has a section, sealed and open", "[section]") {
    for (const std::string& designation : bearing_designations()) {
        const Bearing bearing = find_bearing(designation);
        CAPTURE(designation);
        for (const bool sealed : {true, false}) {
            const RingSection ring = ring_section({bearing.d_mm, bearing.D_mm, bearing.B_mm, sealed});
            CHECK(ring.ball_source == BallSource::table);
            const double thinned = (ring.D_mm - ring.equal_area_bore_mm) / (ring.D_mm - ring.d_mm);
            CHECK(thinned == Approx(sealed ? 0.24 : 0.275).margin(0.055));
        }
    }
}

TEST_CASE("the closed formula keeps to its stated error", "[section]") {
    struct Row {
        double d, D, B;
        HousingShape shape;
        double wall, N_per_um, raceway;
    };
    using enum HousingShape;
    for (const Row& row :
         {Row{15, 28, 7, flush, 1.15, 148.0, 0.281}, Row{15, 28, 7, flush, 1.3, 216.8, 0.414},
          Row{15, 28, 7, flush, 1.6, 280.8, 0.536}, Row{15, 28, 7, flush, 2.5, 336.0, 0.641},
          Row{15, 28, 7, shoulder_behind, 1.15, 184.1, 0.337},
          Row{15, 28, 7, shoulder_behind, 1.3, 257.6, 0.487},
          Row{15, 28, 7, shoulder_behind, 1.6, 324.7, 0.617},
          Row{15, 28, 7, shoulder_behind, 2.5, 375.7, 0.714}, Row{15, 24, 5, flush, 1.15, 100.2, 0.318},
          Row{15, 24, 5, flush, 1.3, 143.4, 0.457}, Row{15, 24, 5, flush, 1.6, 181.7, 0.579},
          Row{15, 24, 5, flush, 2.5, 213.6, 0.680}, Row{15, 24, 5, shoulder_behind, 1.15, 126.6, 0.397},
          Row{15, 24, 5, shoulder_behind, 1.3, 172.1, 0.546},
          Row{15, 24, 5, shoulder_behind, 1.6, 210.3, 0.668},
          Row{15, 24, 5, shoulder_behind, 2.5, 237.0, 0.753}}) {
        const RingSection ring = ring_section({row.d, row.D, row.B, true});
        const SeatStiffness seat =
            seat_stiffness_by_correction(ring, {.shape = row.shape, .outside_mm = row.wall * row.D});
        CAPTURE(row.D, row.wall, housing_shape_id(row.shape));
        CHECK(seat.N_per_um == Approx(row.N_per_um).epsilon(0.06));
        CHECK(seat.raceway_um_per_um == Approx(row.raceway).epsilon(0.08));
    }
}

TEST_CASE("the correction keeps to the errors stated for each shape", "[section]") {
    struct Stated {
        HousingShape shape;
        double low, high;
    };
    for (const Stated& stated :
         {Stated{HousingShape::flush, -0.007, 0.007}, Stated{HousingShape::bore_goes_on, -0.029, 0.015},
          Stated{HousingShape::shoulder_behind, -0.041, 0.024},
          Stated{HousingShape::long_tube, -0.055, 0.032}, Stated{HousingShape::flange_behind, -0.085, 0.038},
          Stated{HousingShape::flange_over_seat, -0.030, 0.021}}) {
        for (const char* name : {"61800", "61803", "61905", "6003", "6204", "6300"}) {
            const Bearing b = find_bearing(name);
            const RingSection ring = ring_section({b.d_mm, b.D_mm, b.B_mm, std::string(name) != "6003"});
            for (const double wall : {1.1, 1.25, 1.8, 2.4}) {
                for (const double E : {70.0, 208.0}) {
                    const Housing housing{.shape = stated.shape,
                                          .outside_mm = wall * b.D_mm,
                                          .E_GPa = E,
                                          .nu = E < 100 ? 0.33 : 0.30};
                    const double solved =
                        solve_section(ring, housing_section(housing, ring), {E * 1e3, housing.nu}).N_per_um;
                    const double error = seat_stiffness_by_correction(ring, housing).N_per_um / solved - 1;
                    CAPTURE(housing_shape_id(stated.shape), name, wall, E);
                    CHECK(error > stated.low - 0.002);
                    CHECK(error < stated.high + 0.002);
                }
            }
        }
    }
}

TEST_CASE("a hub of unknown shape has the doubt of all of them", "[section]") {
    const RingSection ring = ring_section({15, 28, 7, true});
    const SeatStiffness unknown = seat_stiffness(ring, {.outside_mm = 40});
    CHECK(unknown.method == StiffnessMethod::correction);
    for (int shape = 0; shape < 6; ++shape) {
        const SeatStiffness known =
            seat_stiffness_by_correction(ring, {.shape = static_cast<HousingShape>(shape), .outside_mm = 40});
        CHECK(std::abs(known.N_per_um / unknown.N_per_um - 1) < 2 * unknown.N_per_um_rel_u);
        CHECK(known.N_per_um_rel_u < unknown.N_per_um_rel_u);
    }
}

TEST_CASE("a ball a tenth smaller or larger moves the grip by about four hundredths", "[section]") {
    const Housing hub{.shape = HousingShape::shoulder_behind, .outside_mm = 40};
    const RingSection usual = ring_section({15, 28, 7, true});
    const auto N = [&](double ball) {
        const RingSection ring = ring_section({15, 28, 7, true}, {.ball_mm = ball});
        return solve_section(ring, housing_section(hub, ring), {70e3, 0.33}).N_per_um;
    };
    const double middle = N(usual.ball_mm);
    CHECK(N(1.1 * usual.ball_mm) / middle - 1 == Approx(-0.04).margin(0.02));
    CHECK(N(0.9 * usual.ball_mm) / middle - 1 == Approx(0.04).margin(0.02));
}

TEST_CASE("rings and housings that can't be are refused in words", "[section]") {
    const auto refused = [](const auto& act, const std::string& word) {
        try {
            act();
            return std::string("nothing was refused");
        } catch (const halfturn::BadInput& e) {
            return std::string(e.what()).find(word) == std::string::npos ? e.what() : std::string();
        }
    };
    CHECK(refused([] { ring_section({28, 15, 7, true}); }, "outside D") == "");
    CHECK(refused([] { ring_section({15, 28, -7, true}); }, "above 0") == "");
    CHECK(refused([] { ring_section({15, 28, 7, true}, {.ball_mm = 9}); }, "ball") == "");
    CHECK(refused([] { ring_section({15, 28, 7, true}, {.shoulder_mm = 26}); }, "shoulder") == "");
    CHECK(refused([] { ring_section({15, 28, 7, true}, {.recess_mm = 27.9}); }, "recess") == "");
    CHECK(refused([] { ring_section({15, 28, 7, true}, {.ball_count = 40}); }, "balls") == "");
    const RingSection ring = ring_section({15, 28, 7, true});
    const auto steps = [&](std::vector<HousingStep> list, double at) {
        Housing housing;
        housing.steps = std::move(list);
        housing.seat_from_mouth_mm = at;
        return [housing, &ring] { seat_stiffness(ring, housing); };
    };
    CHECK(refused(steps({{7, 28, 28}}, 0), "step 1 has no wall") == "");
    CHECK(refused(steps({{7, 28, 36}, {5, 37, 40}}, 0), "step 2 doesn't touch") == "");
    CHECK(refused(steps({{5, 28, 36}, {5, 25, 36}}, 0), "step 2 lies round the ring") == "");
    CHECK(refused(steps({{5, 28, 36}}, 0), "only 5") == "");
    CHECK(refused([&] { seat_stiffness(ring, {.shape = HousingShape::flush, .outside_mm = 20}); },
                  "outside diameter") == "");
    CHECK(
        refused([&] { seat_stiffness(ring, {.shape = HousingShape::flush, .outside_mm = 40, .E_GPa = -1}); },
                "modulus") == "");
}
