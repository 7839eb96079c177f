#include "calibrate/force_standards.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "core/failure.hpp"

namespace halfturn::calibrate {

double air_density_kg_per_m3(double temperature_C, double pressure_hPa, double humidity_percent) {
    return (0.34848 * pressure_hPa - 0.009 * humidity_percent * std::exp(0.061 * temperature_C)) /
           (273.15 + temperature_C);
}

double normal_gravity_m_per_s2(double latitude_deg, double height_m) {
    const double sine = std::sin(latitude_deg * std::numbers::pi / 180);
    const double squared = sine * sine;
    const double at_sea_level =
        9.7803253359 * (1 + 0.00193185265241 * squared) / std::sqrt(1 - 0.00669437999013 * squared);
    return at_sea_level - 3.086e-6 * height_m;
}

WithU dead_weight_force_N(WithU mass, WithU gravity, WithU air, WithU density) {
    if (!(mass.value > 0) || !(gravity.value > 0) || !(air.value >= 0) || !(density.value > air.value))
        throw BadInput(
            "a dead weight needs a mass and a gravity above zero, and a density above that of air");
    const double buoyancy = 1 - air.value / density.value;
    const double force = mass.value * gravity.value * buoyancy;
    const double by_mass = mass.u / mass.value, by_gravity = gravity.u / gravity.value;
    const double by_air = air.u / density.value / buoyancy;
    const double by_density = density.u * air.value / (density.value * density.value) / buoyancy;
    return {force, force * std::sqrt(by_mass * by_mass + by_gravity * by_gravity + by_air * by_air +
                                     by_density * by_density)};
}

LowerLimit lower_limit(double residual_sd_N, double resolution_N) {
    const double factor = std::max(2.4 * residual_sd_N, resolution_N);
    return {factor, 2000 * factor, 400 * factor};
}

double thread_friction(double torque_Nm, double force_N, double lead_mm, double pitch_diameter_mm,
                       double flank_deg) {
    if (!(torque_Nm > 0) || !(force_N > 0) || !(lead_mm > 0) || !(pitch_diameter_mm > 0) ||
        !(flank_deg >= 0 && flank_deg < 90))
        throw BadInput(
            "torque, force, lead and pitch diameter must be above zero, and the flank angle from 0 to below "
            "90 degrees");
    // T = F d/2 (l + pi f d s) / (pi d - f l s) with s = 1/cos(flank).
    const double d = pitch_diameter_mm, s = 1 / std::cos(flank_deg * std::numbers::pi / 180);
    const double ratio = 2 * torque_Nm * 1000 / (force_N * d);
    const double friction =
        (ratio * std::numbers::pi * d - lead_mm) / (s * (std::numbers::pi * d + ratio * lead_mm));
    if (!(friction >= 0))
        throw BadInput(
            "the torque is less than a screw without friction would need for this force; check torque, force "
            "and lead");
    return friction;
}

}  // namespace halfturn::calibrate
