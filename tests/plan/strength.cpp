// What screws and nuts carry, what a handle needs, and what a wrong spacer does: against standards and other routes.
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "fit/screw.hpp"
#include "fit/pull.hpp"
#include "plan/spacer_preload.hpp"
#include "plan/thread_strength.hpp"

using namespace halfturn;
using namespace halfturn::plan;

TEST_CASE("a full nut strips only beyond the screw's proof load") {
    // ISO 898-2's principle, for nuts of the screw's own strength and 0.8 d high.
    for (const char* name : {"M6", "M8", "M8x1", "M10", "M10x1.25", "M12", "M12x1.5"})
        for (const char* grade : {"4.8", "8.8", "10.9"}) {
            const fit::Thread thread = fit::find_thread(name);
            const double proof = fit::proof_load_N(thread, grade), MPa = proof / thread.stress_area_exact_mm2;
            INFO(name << " " << grade);
            CHECK(stripping(thread, 0.8 * thread.d_mm, MPa, MPa).least_N() > proof);
            // And one turn of thread does not carry it.
            CHECK(stripping(thread, thread.pitch_mm, MPa, MPa).least_N() < proof);
        }
}

TEST_CASE("shear areas: the basic profile's land is 3/4 and 7/8 of the pitch") {
    // On the 60 degree profile the screw's land at the nut's minor diameter is P - P/4, the nut's at the screw's major
    // diameter P - P/8 (ISO 68-1).
    for (const char* name : {"M6", "M8", "M10", "M12"}) {
        const fit::Thread thread = fit::find_thread(name);
        const double minor = thread.d_mm - 1.082532 * thread.pitch_mm;
        const Stripping one = stripping(thread, 10, 1, 1);
        CHECK(one.screw_area_mm2 == Approx(std::numbers::pi * minor * 10 * 0.75).epsilon(1e-3));
        CHECK(one.nut_area_mm2 == Approx(std::numbers::pi * thread.d_mm * 10 * 0.875).epsilon(1e-3));
    }
}

TEST_CASE("handle torque against the bolt formula of VDI 2230") {
    // M = F (0.16 P + 0.58 d2 mu + Dk/2 mu), rounded constants (from memory, not looked up).
    for (const char* name : {"M6", "M8", "M10", "M12"})
        for (const double mu : {0.08, 0.12, 0.18}) {
            const fit::Thread thread = fit::find_thread(name);
            const double collar_mm = 1.6 * thread.d_mm, F = 5000;
            const double ours = fit::raise_torque_Nm(fit::screw_of(thread, mu), F) + fit::collar_torque_Nm(F, mu, collar_mm);
            const double theirs = F * (0.16 * thread.pitch_mm + 0.58 * thread.d2_mm * mu + collar_mm / 2 * mu) / 1000;
            CHECK(ours == Approx(theirs).epsilon(0.015));
        }
}

TEST_CASE("a pull in the axis leaves the whole proof load, one beside it a part") {
    const fit::Thread m8 = fit::find_thread("M8");
    CHECK(fit::off_axis_load_N(m8, 21200, 0) == Approx(21200));
    // Beside the axis by hand: W = pi 6.466^3/32 = 26.54 mm3, 1/36.609 + 8/26.54 = 0.3287 MPa/N; 21200/36.609/0.3287.
    CHECK(fit::off_axis_load_N(m8, 21200, 8) == Approx(1762).epsilon(1e-3));
}

TEST_CASE("a spacer's preload is the load at which the balls take that angle") {
    fit::BallPath path = fit::ball_path(fit::ring_section({15, 28, 7, true}));
    path.clearance_um = 8;
    const double A_um = 1000 * (2 * path.groove_radius_mm - path.ball_mm);
    const double cos0 = 1 - 8 / (2 * A_um);
    // Free play of the pair: sqrt(2 A c) over two bearings, to first order.
    const SpacerPreload none = spacer_preload(path, 5);
    CHECK(none.preload_N == 0);
    CHECK(none.play_um == Approx(2 * std::sqrt(A_um * 8)).epsilon(0.01));
    for (const double error_um : {90.0, 120.0, 160.0}) {
        const SpacerPreload loaded = spacer_preload(path, error_um);
        REQUIRE(loaded.preload_N > 0);
        CHECK(spacer_preload(path, -error_um).preload_N == loaded.preload_N);
        const double angle = fit::contact_angle_deg(path, loaded.preload_N) * std::numbers::pi / 180;
        CHECK(std::tan(angle) * A_um * cos0 == Approx(error_um / 2).epsilon(1e-4));
    }
}
