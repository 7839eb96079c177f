#include "fit/screw.hpp"

#include <cmath>
#include <numbers>

#include "core/failure.hpp"
#include "fit/materials.hpp"

namespace halfturn::fit {

namespace {

using std::numbers::pi;
constexpr double mm_per_m = 1000;

double wedged_friction(const ScrewThread& screw) {
    return screw.friction / std::cos(screw.half_angle_deg * pi / 180);
}

void check(const ScrewThread& screw) {
    if (!(screw.lead_mm > 0) || !(screw.pitch_diameter_mm > 0) || !(screw.friction >= 0) ||
        !(screw.half_angle_deg >= 0) || !(screw.half_angle_deg < 60))
        throw BadInput(
            "the screw needs a lead and a pitch diameter above 0, friction of 0 or more and half a thread "
            "angle below 60 degrees");
    if (pi * screw.pitch_diameter_mm <= wedged_friction(screw) * screw.lead_mm)
        throw BadInput(
            "with this lead and friction the screw locks in both directions; check the lead (mm per turn) "
            "and the friction");
}

// Torque arm of the raised load, mm: torque / load.
double raise_arm_mm(const ScrewThread& screw) {
    check(screw);
    const double f = wedged_friction(screw), dm = screw.pitch_diameter_mm, l = screw.lead_mm;
    return dm / 2 * (l + pi * f * dm) / (pi * dm - f * l);
}

double section_modulus_mm3(const Thread& thread) {
    return pi * thread.d3_mm * thread.d3_mm * thread.d3_mm / 32;
}

}  // namespace

ScrewThread screw_of(const Thread& thread, double friction) {
    return {thread.pitch_mm, thread.d2_mm, friction, 30};
}

double lead_angle_deg(const ScrewThread& screw) {
    return std::atan(screw.lead_mm / (pi * screw.pitch_diameter_mm)) * 180 / pi;
}

double raise_torque_Nm(const ScrewThread& screw, double load_N) {
    return load_N * raise_arm_mm(screw) / mm_per_m;
}

double lower_torque_Nm(const ScrewThread& screw, double load_N) {
    check(screw);
    const double f = wedged_friction(screw), dm = screw.pitch_diameter_mm, l = screw.lead_mm;
    return load_N * dm / 2 * (pi * f * dm - l) / (pi * dm + f * l) / mm_per_m;
}

bool self_locking(const ScrewThread& screw) {
    check(screw);
    return pi * wedged_friction(screw) * screw.pitch_diameter_mm > screw.lead_mm;
}

double collar_torque_Nm(double load_N, double friction, double mean_diameter_mm) {
    return load_N * friction * mean_diameter_mm / 2 / mm_per_m;
}

double efficiency(double lead_mm, double load_N, double torque_Nm) {
    return load_N * lead_mm / mm_per_m / (2 * pi * torque_Nm);
}

double load_for_torque_N(const ScrewThread& screw, double collar_friction, double collar_mean_diameter_mm,
                         double torque_Nm) {
    return torque_Nm * mm_per_m / (raise_arm_mm(screw) + collar_friction * collar_mean_diameter_mm / 2);
}

double bolt_stiffness_N_per_mm(double shank_area_mm2, double shank_length_mm, double thread_area_mm2,
                               double thread_length_mm, double E_GPa) {
    return shank_area_mm2 * thread_area_mm2 * E_GPa * MPa_per_GPa /
           (shank_area_mm2 * thread_length_mm + thread_area_mm2 * shank_length_mm);
}

double member_stiffness_N_per_mm(double E_GPa, double diameter_mm, double grip_mm, double a, double b) {
    return E_GPa * MPa_per_GPa * diameter_mm * a * std::exp(b * diameter_mm / grip_mm);
}

double in_series_N_per_mm(double one_N_per_mm, double other_N_per_mm) {
    return 1 / (1 / one_N_per_mm + 1 / other_N_per_mm);
}

double rod_stiffness_N_per_mm(const Thread& thread, double free_length_mm, double E_GPa) {
    return thread.stress_area_exact_mm2 * E_GPa * MPa_per_GPa / free_length_mm;
}

double off_axis_stress_MPa(const Thread& thread, double load_N, double off_axis_mm) {
    return load_N / thread.stress_area_exact_mm2 + load_N * off_axis_mm / section_modulus_mm3(thread);
}

double off_axis_load_N(const Thread& thread, double proof_load_N, double off_axis_mm) {
    return proof_load_N / thread.stress_area_exact_mm2 / off_axis_stress_MPa(thread, 1, off_axis_mm);
}

}  // namespace halfturn::fit
