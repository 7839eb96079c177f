#include "fit/interference_fit.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <string>

#include "core/failure.hpp"
#include "core/number_text.hpp"
#include "fit/materials.hpp"

namespace halfturn::fit {

namespace {

constexpr double um_per_mm = 1000;

double square(double x) { return x * x; }

// Von Mises stress with the axial stress zero.
double von_mises(double hoop, double radial) {
    return std::sqrt(square(hoop) - hoop * radial + square(radial));
}

void check(const TwoBodies& b) {
    const auto size = [](double mm) { return number_text(mm) + " mm"; };
    if (!(b.inner_bore_mm >= 0) || !(b.inner_bore_mm < b.interface_mm) || !(b.interface_mm < b.outer_mm))
        throw BadInput("the diameters must grow outwards (bore " + size(b.inner_bore_mm) + ", interface " +
                       size(b.interface_mm) + ", outside " + size(b.outer_mm) +
                       "); a solid inner body has bore 0");
    if (!(b.inner_E_GPa > 0) || !(b.outer_E_GPa > 0)) throw BadInput("Young's modulus must be above 0 GPa");
    if (!(b.inner_nu >= 0) || !(b.inner_nu < 0.5) || !(b.outer_nu >= 0) || !(b.outer_nu < 0.5))
        throw BadInput("Poisson's ratio must be from 0 to below 0.5");
}

// Diametral give of each body at the interface per unit of pressure, mm/MPa.
double inner_give(const TwoBodies& b) {
    const double D2 = square(b.interface_mm), d2 = square(b.inner_bore_mm);
    return b.interface_mm / (b.inner_E_GPa * MPa_per_GPa) * ((D2 + d2) / (D2 - d2) - b.inner_nu);
}
double outer_give(const TwoBodies& b) {
    const double D2 = square(b.interface_mm), o2 = square(b.outer_mm);
    return b.interface_mm / (b.outer_E_GPa * MPa_per_GPa) * ((o2 + D2) / (o2 - D2) + b.outer_nu);
}

void set_stresses(FitResult& out, const TwoBodies& b) {
    const double p = out.pressure_MPa;
    const double D2 = square(b.interface_mm), d2 = square(b.inner_bore_mm), o2 = square(b.outer_mm);
    const bool solid = b.inner_bore_mm == 0;
    out.inner_hoop_at_bore_MPa = solid ? -p : -2 * p * D2 / (D2 - d2);
    out.inner_hoop_at_interface_MPa = -p * (D2 + d2) / (D2 - d2);
    out.outer_hoop_at_interface_MPa = p * (o2 + D2) / (o2 - D2);
    out.outer_hoop_at_outside_MPa = 2 * p * D2 / (o2 - D2);
    out.inner_von_mises_max_MPa =
        std::abs(out.inner_hoop_at_bore_MPa);  // radial stress is 0 there, or equal if solid
    out.inner_von_mises_at_interface_MPa = von_mises(out.inner_hoop_at_interface_MPa, -p);
    out.outer_von_mises_max_MPa = von_mises(out.outer_hoop_at_interface_MPa, -p);
    out.outer_von_mises_at_outside_MPa = out.outer_hoop_at_outside_MPa;
}

void set_changes(FitResult& out, const TwoBodies& b) {
    const double p = out.pressure_MPa;
    const double D2 = square(b.interface_mm), d2 = square(b.inner_bore_mm), o2 = square(b.outer_mm);
    out.interface_change_inner_um = -p * inner_give(b) * um_per_mm;
    out.interface_change_outer_um = p * outer_give(b) * um_per_mm;
    out.inner_bore_change_um =
        -p * 2 * D2 * b.inner_bore_mm / ((D2 - d2) * b.inner_E_GPa * MPa_per_GPa) * um_per_mm;
    out.outer_change_um = p * 2 * D2 * b.outer_mm / ((o2 - D2) * b.outer_E_GPa * MPa_per_GPa) * um_per_mm;
}

}  // namespace

double pressure_per_um(const TwoBodies& bodies) {
    check(bodies);
    return 1 / (um_per_mm * (inner_give(bodies) + outer_give(bodies)));
}

FitResult solve_fit(const FitInput& input) {
    const TwoBodies& b = input.bodies;
    const double MPa_per_um = pressure_per_um(b);
    if (input.interference_diametral_um.has_value() == input.pressure_MPa.has_value())
        throw BadInput("give either the interference or the pressure, and only one of them");
    FitResult out;
    out.smoothing_loss_um =
        input.smoothing_factor * (input.inner_roughness_Rz_um + input.outer_roughness_Rz_um);
    out.thermal_change_um = b.interface_mm * um_per_mm * (input.inner_alpha_per_K - input.outer_alpha_per_K) *
                            (input.temperature_C - 20);
    if (input.pressure_MPa) {
        if (!(*input.pressure_MPa >= 0)) throw BadInput("the pressure must not be negative");
        out.pressure_MPa = *input.pressure_MPa;
        out.effective_interference_um = out.pressure_MPa / MPa_per_um;
        out.interference_diametral_um =
            out.effective_interference_um + out.smoothing_loss_um - out.thermal_change_um;
    } else {
        out.interference_diametral_um = *input.interference_diametral_um;
        out.effective_interference_um =
            std::max(0.0, out.interference_diametral_um - out.smoothing_loss_um + out.thermal_change_um);
        out.pressure_MPa = out.effective_interference_um * MPa_per_um;
    }
    out.loose = out.pressure_MPa <= 0;
    set_stresses(out, b);
    set_changes(out, b);
    if (input.length_mm && input.friction) {
        out.axial_force_N =
            *input.friction * out.pressure_MPa * std::numbers::pi * b.interface_mm * *input.length_mm;
        out.torque_Nm = *out.axial_force_N * b.interface_mm / 2 / 1000;
    }
    if (input.inner_yield_MPa) out.inner_yields = out.inner_von_mises_max_MPa > *input.inner_yield_MPa;
    if (input.outer_yield_MPa) out.outer_yields = out.outer_von_mises_max_MPa > *input.outer_yield_MPa;
    return out;
}

}  // namespace halfturn::fit
