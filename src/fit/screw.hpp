// The press's screw: torque to raise and lower a load, efficiency, self-locking, stretch and bending.
//   raise_torque_Nm({5, 22.5, 0.08}, 6000) + collar_torque_Nm(6000, 0.05, 40)  ->  16.23 Nm
//
// Method: the unrolled inclined plane with wedge action of the flanks, T = F dm/2 (l + pi f dm sec a)/(pi dm - f l sec a)
// to raise and (pi f dm sec a - l)/(pi dm + f l sec a) to lower, a half the thread angle; collar friction at its mean
// diameter; bolt stiffness of shank and thread in series; members by Wileman, Choudhury & Green, k = E d A exp(B d/l).
// Source: Budynas & Nisbett, Shigley's Mechanical Engineering Design, ch. 8.
// Valid: lead angle below 45 degrees, pi dm > f l sec a. Checked in tests/fit/screw_examples.csv: 0.1 % of recomputed, 0.3 %
// of printed answers.
#pragma once

#include "fit/threads.hpp"

namespace halfturn::fit {

struct ScrewThread {
    double lead_mm = 0;            // travel per turn: pitch times starts
    double pitch_diameter_mm = 0;  // mean diameter of the flanks
    double friction = 0;
    double half_angle_deg = 0;  // 0 square, 14.5 Acme, 15 trapezoidal, 30 ISO metric
};

// An ISO metric thread as a screw with one start.
ScrewThread screw_of(const Thread& thread, double friction);

double lead_angle_deg(const ScrewThread& screw);
// Throw BadInput for a thread that can't be turned (pi dm <= f l sec a) or sizes not above 0.
double raise_torque_Nm(const ScrewThread& screw, double load_N);
double lower_torque_Nm(const ScrewThread& screw, double load_N);  // negative: the load drives the screw back
bool self_locking(const ScrewThread& screw);
double collar_torque_Nm(double load_N, double friction, double mean_diameter_mm);
// Share of the work of turning that lifts the load.
double efficiency(double lead_mm, double load_N, double torque_Nm);
// Load a torque at the screw raises, the inverse of raise_torque plus collar.
double load_for_torque_N(const ScrewThread& screw, double collar_friction, double collar_mean_diameter_mm,
                         double torque_Nm);

// Stiffness of a bolt, shank and thread in series, N/mm.
double bolt_stiffness_N_per_mm(double shank_area_mm2, double shank_length_mm, double thread_area_mm2,
                               double thread_length_mm, double E_GPa);
// Stiffness of clamped members of one material (Wileman), N/mm; a and b are the fit's constants (steel
// 0.78715, 0.62873).
double member_stiffness_N_per_mm(double E_GPa, double diameter_mm, double grip_mm, double a = 0.78715,
                                 double b = 0.62873);
double in_series_N_per_mm(double one_N_per_mm, double other_N_per_mm);
// Stiffness of a threaded rod over its free length, by its stress area, N/mm.
double rod_stiffness_N_per_mm(const Thread& thread, double free_length_mm, double E_GPa = 206);

// Largest normal stress in the screw when the load acts beside its axis: F/As + F e/(pi d3^3/32). A beam with
// pinned ends and no help from the drift: pessimistic, by up to a factor of two.
double off_axis_stress_MPa(const Thread& thread, double load_N, double off_axis_mm);
// Load at which that stress meets the stress under proof load of the class.
double off_axis_load_N(const Thread& thread, double proof_load_N, double off_axis_mm);

}  // namespace halfturn::fit
