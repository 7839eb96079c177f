// What a known force is: dead weights in air, local gravity, air density; and the ASTM E74 lower limit
// factor.
#pragma once

namespace halfturn::calibrate {

// Density of moist air. OIML R 111-1:2004 formula E.3-1: relative error below 2e-4 for 900 to 1100 hPa, 10 to
// 30 degC, up to 80 % humidity. At 20 degC, 1013.25 hPa, 50 %: 1.1993 kg/m3 (CIPM-2007: 1.1992).
double air_density_kg_per_m3(double temperature_C, double pressure_hPa, double humidity_percent);

// Normal gravity of WGS 84 (Somigliana's closed formula) less 3.086e-6 m/s2 per metre of height. The real
// value differs by the local anomaly, usually within 5e-4 m/s2: use a surveyed value where one is known.
// Digits: 9.7803253359 at the equator, 9.8061977 at 45 degrees, 9.8321849 at the pole (WGS 84 constants).
double normal_gravity_m_per_s2(double latitude_deg, double height_m);

// A standard uncertainty beside its value.
struct WithU {
    double value = 0, u = 0;
};

// F = m g (1 - rho_air / rho_mass), m the true mass (for a conventional mass take 8000 kg/m3 and 1.2 kg/m3).
// u by first-order propagation, all inputs independent. ISO 376 annex, EURAMET cg-4 (from memory, not looked
// up). Throws BadInput: anything not above zero, or air denser than the weight.
WithU dead_weight_force_N(WithU mass_kg, WithU gravity_m_per_s2, WithU air_density_kg_per_m3,
                          WithU mass_density_kg_per_m3);

// ASTM E74 lower limit factor: 2.4 times the standard deviation of the residuals about the calibration curve
// (whose divisor is readings - coefficients), not below the resolution. A class holds from 2000 (AA) or 400
// (A) times it. ASTM E74-18 clause 8 (factors from memory, multiples looked up). The practice asks for 30
// readings or more.
struct LowerLimit {
    double factor_N = 0, class_AA_from_N = 0, class_A_from_N = 0;
};
LowerLimit lower_limit(double residual_sd_N, double resolution_N);

// What thread friction makes of a torque: the coefficient that explains `torque_Nm` (of the thread alone,
// collar friction taken off) while the screw raises `force_N`. Shigley eq. 8-1 and 8-5 solved for f;
// flank_deg is half the thread angle (30 for metric, 0 for square). Throws BadInput when the torque is below
// what a frictionless screw needs.
double thread_friction(double torque_Nm, double force_N, double lead_mm, double pitch_diameter_mm,
                       double flank_deg);

}  // namespace halfturn::calibrate
