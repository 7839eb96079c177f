// Checked against printed answers of textbooks (interference_examples.csv names each) and against numbers computed by two
// independent methods (reference_cases.csv), then against the laws of elasticity and the wrong formulas met in public.
#include "fit/interference_fit.hpp"

#include <catch2/catch.hpp>
#include <cmath>

#include "core/failure.hpp"
#include "fit/csv.hpp"

using namespace halfturn;
using namespace halfturn::fit;
using halfturn::test::CsvRow;
using halfturn::test::read_csv;

namespace {

// Units are consistent whatever they are called: inches and psi go in as "mm" and "MPa" alike.
FitInput same_material(double ri, double R, double ro, double E, double nu) {
    FitInput in;
    in.bodies = {2 * ri, 2 * R, 2 * ro, E / 1000, nu, E / 1000, nu};
    return in;
}
FitInput with_radial(FitInput in, double radial) {
    in.interference_diametral_um = 2 * radial * 1000;
    return in;
}
FitInput with_pressure(FitInput in, double pressure) {
    in.pressure_MPa = pressure;
    return in;
}

double answer(const CsvRow& row) {
    const std::string id = row.text("id").substr(0, row.text("id").find(' '));
    const std::string quantity = row.text("quantity"), inputs = row.text("inputs");
    const bool wide = quantity == "p_max";
    if (id == "E01")
        return solve_fit(with_radial(same_material(0, 20, 40, 207000, 0.292), wide ? 0.0295 : 0.009))
            .pressure_MPa;
    if (id == "E02")
        return solve_fit(with_radial(same_material(0, 0.75, 1.5, 30e6, 0.292), wide ? 0.00115 : 0.00035))
            .pressure_MPa;
    if (id == "E04")
        return solve_fit(with_radial(same_material(0, 0.75, 1.5, 30e6, 0.292), wide ? 0.0015 : 0.0007))
            .pressure_MPa;
    if (id == "E05") {
        const auto r = solve_fit(with_radial(same_material(0, 0.5, 1, 30e6, 0.292), 0.001));
        return quantity == "p" ? r.pressure_MPa : r.outer_hoop_at_interface_MPa;
    }
    if (id == "E07a") return solve_fit(with_radial(same_material(0, 50, 80, 207000, 0.3), 0.01)).pressure_MPa;
    if (id == "E07b") return solve_fit(with_radial(same_material(0, 2, 3, 30e6, 0.3), 0.0005)).pressure_MPa;
    if (id == "E08") {
        const auto body = same_material(150, 200, 250, 200000, 0.3);
        if (quantity == "p") return solve_fit(with_radial(body, 0.1)).pressure_MPa;
        const auto r = solve_fit(with_pressure(body, 12.3));
        if (quantity == "hoop outer at 200") return r.outer_hoop_at_interface_MPa;
        if (quantity == "hoop outer at 250") return r.outer_hoop_at_outside_MPa;
        if (quantity == "hoop inner at 150") return r.inner_hoop_at_bore_MPa;
        if (quantity == "hoop inner at 200") return r.inner_hoop_at_interface_MPa;
    }
    if (id == "E09") {
        const auto r = solve_fit(with_radial(same_material(0, 50, 250, 200000, 0.3), 0.0524957));
        return quantity == "p" ? r.pressure_MPa : r.outer_hoop_at_interface_MPa;
    }
    if (id == "E11")
        return solve_fit(with_pressure(same_material(100, 125, 150, 200000, 0.3), 30))
                   .interference_diametral_um /
               2000;
    if (id == "E13")
        return 75 - solve_fit(with_pressure(same_material(25, 37.5, 50, 207000, 0.3), 3.615169))
                            .interference_diametral_um /
                        1000;
    if (id == "E15") {
        FitInput in;
        in.bodies = {2.0, 2.5, 3.5, 17e3, 0.27, 30e3, 0.27};
        in.interference_diametral_um = 3.2;
        const auto r = solve_fit(in);
        return quantity == "p" ? r.pressure_MPa : r.outer_hoop_at_interface_MPa;
    }
    if (id == "E18") {
        FitInput in = same_material(0, 25, 40, 210000, 0.3);
        in.interference_diametral_um = 40;
        in.length_mm = 40;
        in.friction = 0.12;
        const auto r = solve_fit(in);
        if (quantity == "p") return r.pressure_MPa;
        if (quantity == "F") return *r.axial_force_N / 1000;
        if (quantity == "T") return *r.torque_Nm;
        if (quantity == "sigma") return r.outer_hoop_at_interface_MPa;
    }
    throw std::runtime_error("no case for " + id + ", " + quantity);
}

const TwoBodies ring_in_aluminium{25.4, 28, 40, 208, 0.30, 68.9, 0.33};

}  // namespace

TEST_CASE("Textbook interference fits give the printed answers") {
    const auto rows = read_csv("interference_examples.csv");
    REQUIRE(rows.size() == 25);
    for (const auto& row : rows) {
        INFO(row.text("id") << ": " << row.text("quantity"));
        CHECK(answer(row) == Approx(row.must("printed")).epsilon(0.01));  // books round
        CHECK(answer(row) == Approx(row.must("recomputed_here")).epsilon(0.0002));
    }
}

TEST_CASE("Independently computed reference cases agree in every figure given") {
    const auto rows = read_csv("reference_cases.csv");
    REQUIRE(rows.size() == 7);
    for (const auto& row : rows) {
        INFO(row.text("case"));
        FitInput in;
        in.bodies = {row.must("inner_body_bore_mm"),
                     row.must("interface_dia_mm"),
                     row.must("outer_body_OD_mm"),
                     row.must("E_inner_GPa"),
                     row.must("nu_inner"),
                     row.must("E_outer_GPa"),
                     row.must("nu_outer")};
        in.interference_diametral_um = row.must("diametral_interference_um");
        in.length_mm = row.must("width_mm");
        in.friction = 0.12;
        const auto r = solve_fit(in);
        CHECK(r.pressure_MPa == Approx(row.must("p_MPa")).epsilon(1e-10));
        CHECK(r.inner_bore_change_um == Approx(row.must("inner_bore_diameter_change_um")).epsilon(1e-8));
        CHECK(r.interface_change_outer_um == Approx(row.must("interface_dia_change_outer_um")).epsilon(1e-8));
        CHECK(r.outer_change_um == Approx(row.must("outer_OD_change_um")).epsilon(1e-8));
        CHECK(r.outer_hoop_at_interface_MPa == Approx(row.must("hub_hoop_at_bore_MPa")).epsilon(1e-7));
        CHECK(*r.axial_force_N == Approx(row.must("F_mu0.12_N")).epsilon(1e-6));
        in.friction = 0.18;
        CHECK(*solve_fit(in).axial_force_N == Approx(row.must("F_mu0.18_N")).epsilon(1e-6));
    }
}

TEST_CASE("What elasticity demands of any fit") {
    for (const double bore : {0.0, 10.0, 25.4})
        for (const double outside : {31.0, 40.0, 200.0})
            for (const double E : {45.0, 113.8, 208.0}) {
                FitInput in;
                in.bodies = {bore, 28, outside, 208, 0.30, E, 0.33};
                in.interference_diametral_um = 13;
                const auto r = solve_fit(in);
                // The two surfaces meet: what one gives and the other gives is the interference.
                CHECK(r.interface_change_outer_um - r.interface_change_inner_um == Approx(13).epsilon(1e-12));
                // Balance of a half ring: the hoop force carries the pressure. Lame's hoop stress is A +
                // B/r^2, so its integral over the wall is known from its two ends.
                const double ri = 14, ro = outside / 2;
                const double B = (r.outer_hoop_at_interface_MPa - r.outer_hoop_at_outside_MPa) /
                                 (1 / (ri * ri) - 1 / (ro * ro));
                const double A = r.outer_hoop_at_outside_MPa - B / (ro * ro);
                CHECK(A * (ro - ri) + B * (1 / ri - 1 / ro) == Approx(r.pressure_MPa * ri).epsilon(1e-9));
                CHECK(r.outer_von_mises_max_MPa > r.outer_von_mises_at_outside_MPa);
                CHECK(r.inner_von_mises_max_MPa >= r.inner_von_mises_at_interface_MPa * (1 - 1e-12));
                // Pressure and interference are each other's inverse, and proportional.
                FitInput back = in;
                back.interference_diametral_um.reset();
                back.pressure_MPa = r.pressure_MPa;
                CHECK(solve_fit(back).interference_diametral_um == Approx(13).epsilon(1e-12));
                FitInput twice = in;
                twice.interference_diametral_um = 26;
                CHECK(solve_fit(twice).pressure_MPa == Approx(2 * r.pressure_MPa).epsilon(1e-12));
            }
}

TEST_CASE("Limits: thin ring and solid shaft") {
    // A thin ring on a rigid core: hoop = E delta/D, p = 2 t hoop / D (membrane).
    FitInput thin;
    thin.bodies = {0, 100, 100.2, 1e6, 0.0, 70, 0.33};
    thin.interference_diametral_um = 10;
    const auto r = solve_fit(thin);
    CHECK(r.outer_hoop_at_interface_MPa == Approx(70000 * 0.01 / 100).epsilon(0.002));
    CHECK(r.pressure_MPa == Approx(2 * 0.1 * 7 / 100).epsilon(0.003));
    // A pinhole doubles the hoop stress at the bore of an otherwise solid body, and hardly changes the
    // pressure.
    FitInput solid;
    solid.bodies = {0, 28, 40, 208, 0.3, 70, 0.33};
    solid.pressure_MPa = 10;
    FitInput pinhole = solid;
    pinhole.bodies.inner_bore_mm = 0.01;
    CHECK(solve_fit(solid).inner_hoop_at_bore_MPa == Approx(-10));
    CHECK(solve_fit(pinhole).inner_hoop_at_bore_MPa == Approx(-20).epsilon(1e-5));
    CHECK(solve_fit(pinhole).interference_diametral_um ==
          Approx(solve_fit(solid).interference_diametral_um).epsilon(1e-6));
}

TEST_CASE("Formulas known to be wrong are not reproduced") {
    FitInput in;
    in.bodies = ring_in_aluminium;
    in.interference_diametral_um = 13;
    const double right = solve_fit(in).pressure_MPa;
    const double D = 28, Cin = (28. * 28 + 25.4 * 25.4) / (28. * 28 - 25.4 * 25.4),
                 Cout = (40. * 40 + 28. * 28) / (40. * 40 - 28. * 28);
    const double delta = 0.013, Ei = 208000, Eo = 68900, ni = 0.3, no = 0.33;
    CHECK(right == Approx(delta / (D * ((Cin - ni) / Ei + (Cout + no) / Eo))).epsilon(1e-12));
    const double plus_sign = delta / (D * ((Cin + ni) / Ei + (Cout + no) / Eo));
    const double plane_strain =
        delta /
        (D * ((1 - ni * ni) / Ei * (Cin - ni / (1 - ni)) + (1 - no * no) / Eo * (Cout + no / (1 - no))));
    const double squared_nu = right / (1 - 0.3 * 0.3);
    const double doubled = 2 * right;  // diametral taken for radial
    for (const double wrong : {plus_sign, plane_strain, squared_nu, doubled})
        CHECK(std::abs(right / wrong - 1) > 0.02);
}

TEST_CASE("Smoothing and temperature change what presses, and only when asked") {
    FitInput in;
    in.bodies = ring_in_aluminium;
    in.interference_diametral_um = 13;
    const double smooth = solve_fit(in).pressure_MPa;
    in.inner_roughness_Rz_um = 1.6;
    in.outer_roughness_Rz_um = 3.4;
    CHECK(solve_fit(in).effective_interference_um == Approx(13 - 0.8 * 5));
    CHECK(solve_fit(in).pressure_MPa == Approx(smooth * 9 / 13));
    in.smoothing_factor = 0.4;
    CHECK(solve_fit(in).pressure_MPa == Approx(smooth * 11 / 13));
    in.inner_roughness_Rz_um = in.outer_roughness_Rz_um = 0;
    // Aluminium grows by 23.6e-6 and steel by 12.5e-6 per kelvin: 80 K take 28 mm * 11.1e-6 * 80 = 24.9 um.
    in.temperature_C = 100;
    in.inner_alpha_per_K = 12.5e-6;
    in.outer_alpha_per_K = 23.6e-6;
    const auto hot = solve_fit(in);
    CHECK(hot.thermal_change_um == Approx(-24.864));
    CHECK(hot.loose);
    CHECK(hot.pressure_MPa == 0);
    in.temperature_C = 0;
    CHECK(solve_fit(in).effective_interference_um == Approx(13 + 28000 * 11.1e-6 * 20));
    // A wanted pressure at temperature asks for the interference to be made at 20 C.
    in.interference_diametral_um.reset();
    in.pressure_MPa = smooth;
    in.temperature_C = 100;
    CHECK(solve_fit(in).interference_diametral_um == Approx(13 + 24.864));
}

TEST_CASE("Yield check and bad input") {
    FitInput in;
    in.bodies = ring_in_aluminium;
    in.interference_diametral_um = 13;
    CHECK_FALSE(solve_fit(in).outer_yields.has_value());
    in.outer_yield_MPa = solve_fit(in).outer_von_mises_max_MPa * 1.01;
    in.inner_yield_MPa = solve_fit(in).inner_von_mises_max_MPa * 0.99;
    CHECK(solve_fit(in).outer_yields == false);
    CHECK(solve_fit(in).inner_yields == true);
    FitInput bad = in;
    bad.bodies.inner_bore_mm = 28;
    CHECK_THROWS_AS(solve_fit(bad), BadInput);
    bad = in;
    bad.bodies.outer_nu = 0.5;
    CHECK_THROWS_AS(solve_fit(bad), BadInput);
    bad = in;
    bad.pressure_MPa = 3;
    CHECK_THROWS_AS(solve_fit(bad), BadInput);
    bad.pressure_MPa.reset();
    bad.interference_diametral_um.reset();
    CHECK_THROWS_AS(solve_fit(bad), BadInput);
}
