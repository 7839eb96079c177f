// Two cylinders pressed together: pressure, stresses, changes of size, force and torque of an interference fit.
//   FitInput in;  in.interface_mm = 40; …  in.interference_diametral_um = 59;  solve_fit(in).pressure_MPa
//
// Method: Lame's thick cylinders in plane stress (open ends, axial stress zero), both bodies as long as each other:
//   p = delta / { D [ ((Do^2+D^2)/(Do^2-D^2) + nu_o)/E_o + ((D^2+di^2)/(D^2-di^2) - nu_i)/E_i ] },  delta diametral.
// Note the minus before the inner body's nu. Plane strain, or E/(1-nu^2), would be for infinitely long bodies held at both
// ends and reads some 8 % high here. Source: Budynas & Nisbett, Shigley's Mechanical Engineering Design, sec. 3-14 to
// 3-16; DIN 7190-1 for smoothing.
// Valid: elastic (yields tells), 0 <= inner bore < interface < outside.
// Real hubs longer than the ring, shoulders and grooves are the section solver's business.
//
// Largest error                                              against
//   0.79 %  printed pressure (the book squares 2/3 to 0.44)  25 printed answers of 12 textbook examples
//   0.02 %  unrounded recomputation of the same              the same
//   1e-10   pressure; 1e-6 axial force                       7 cases computed by two other methods
#pragma once

#include <optional>

#include "fit/provenance.hpp"

namespace halfturn::fit {

struct TwoBodies {
    double inner_bore_mm = 0;  // 0: the inner body is solid
    double interface_mm = 0;
    double outer_mm = 0;
    double inner_E_GPa = 0, inner_nu = 0;
    double outer_E_GPa = 0, outer_nu = 0;
};

// Contact pressure per um of diametral interference, MPa/um. Throws BadInput unless 0 <= bore < interface <
// outside, E > 0 and 0 <= nu < 0.5.
double pressure_per_um(const TwoBodies& bodies);

// Roughness smoothed away while pressing, as a share of the two Rz: DIN 7190-1 has 0.8 (from memory, not
// looked up); other sources use 0.4. The larger value expects less grip.
constexpr double default_smoothing_factor = 0.8;

struct FitInput {
    TwoBodies bodies;
    std::optional<double> interference_diametral_um;  // at 20 C, before smoothing; this or the next
    std::optional<double> pressure_MPa;               // the interference is then found
    std::optional<double> length_mm;
    std::optional<double> friction;
    double inner_roughness_Rz_um = 0;
    double outer_roughness_Rz_um = 0;
    double smoothing_factor = default_smoothing_factor;
    double temperature_C = 20;
    double inner_alpha_per_K = 0;
    double outer_alpha_per_K = 0;
    std::optional<double> inner_yield_MPa;
    std::optional<double> outer_yield_MPa;
};

struct FitResult {
    double pressure_MPa = 0;
    double interference_diametral_um = 0;  // at 20 C, before smoothing
    double smoothing_loss_um = 0;
    double thermal_change_um = 0;          // interference gained by the temperature
    double effective_interference_um = 0;  // what presses; never below 0
    bool loose = false;                    // nothing presses
    std::optional<double> axial_force_N;   // friction x pressure x pi D L
    std::optional<double> torque_Nm;       // axial force x D/2
    double inner_hoop_at_bore_MPa = 0;     // solid: the same everywhere
    double inner_hoop_at_interface_MPa = 0;
    double outer_hoop_at_interface_MPa = 0;
    double outer_hoop_at_outside_MPa = 0;
    double inner_von_mises_max_MPa = 0;  // at the bore; solid: everywhere
    double outer_von_mises_max_MPa = 0;  // at the interface
    double inner_von_mises_at_interface_MPa = 0;
    double outer_von_mises_at_outside_MPa = 0;
    double inner_bore_change_um = 0;       // of the diameters, by the pressure alone
    double interface_change_inner_um = 0;  // negative: the inner body shrinks
    double interface_change_outer_um = 0;
    double outer_change_um = 0;
    std::optional<bool> inner_yields;  // nothing when no yield was given
    std::optional<bool> outer_yields;
};

// Throws BadInput for impossible geometry or constants, or when not exactly one of interference and pressure
// is given.
FitResult solve_fit(const FitInput& input);

}  // namespace halfturn::fit
