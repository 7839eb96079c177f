// Grip per µm by the closed formula, against finite-element figures of two independent solvers.
#include <catch2/catch.hpp>

#include "core/failure.hpp"
#include "fit/bearings.hpp"
#include "fit/seat_stiffness.hpp"

using namespace halfturn::fit;

TEST_CASE("the section of known rings has the sizes of the design rules", "[section]") {
    // Ring sections as the finite-element figures in tests/fit used them.
    struct Row { double d, D, B, ball, radius, bottom, shoulder, recess, depth, chamfer; };
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
    struct Row { double d, D, B; HousingShape shape; double wall, N_per_um, raceway; };
    using enum HousingShape;
    for (const Row& row : {Row{15, 28, 7, flush, 1.15, 148.0, 0.281}, Row{15, 28, 7, flush, 1.3, 216.8, 0.414},
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
