// One seat with every doubt settled: how hard it grips, where it breaks loose, and the force along the way.
// Pure arithmetic, called thousands of times an expectation.
//
// Grip: N = pi D B delta / (c_ring + c_house/f), the plane-stress thick-cylinder give of a ring of equal section area and
//   of the hub, the hub's divided by the shape factor f. Against finite-element runs of small bearings (tests/curve):
//   within 6 % for the shapes flush, bore goes on, shoulder behind, long tube.
// Pull through the balls: F = mu N / (1 - lambda mu cot(alpha)); factor limited to 2.2.
// Off axis: the whole ring moves at F times 1 up to mu e/L = 0.15, 1.02 at 0.18, 1.07 at 0.21, 1.13 at 0.24, 1.6 at 0.28,
//   limited to 2.2 where it would lock: an arc of contact and a drift that sweeps round keep it from running away.
//   Before that, near F times 2t/pi - 1 with e/R = 2 sin t/(2t - pi), the ring starts to pivot and the wind-up softens: a
//   knee, which is not the release.
// Sliding: grip left after sliding s, from finite-element runs of a 61902 in a stepped hub; other seats within some 10 %.
#pragma once

#include <array>
#include <cstdint>

#include "core/set_up.hpp"
#include "curve/seat_facts.hpp"

namespace halfturn::curve {

// The doubts in the order of the lattice's coordinates, the weightiest first.
enum class Input : std::uint8_t {
    friction, bore, ring, shape, grip_model, ball_path, off_axis, hub_outside, smoothing, hub_E, bond, over_sliding, ring_cut,
    stiffness, toe, softening,
};
constexpr std::size_t input_count = 16;

// All but friction settled.
struct Grip {
    double interference_um = 0;  // negative: loose
    double pressure_MPa = 0;     // mean over the seat
    double normal_N = 0;         // pressure over the whole seat
    double ball_path = 0;        // growth of the grip per newton of pull
    double off_axis_over_B = 0;
    double knee_share = 1;       // of the release force at which an off-axis ring starts to pivot
    double softening_mm = 0;
    double bond_N = 0;
    double over_sliding = 1;
    double stiffness_N_per_mm = 0;
    double toe_mm = 0;
};
// u: one number in (0, 1) for each input; friction's is not looked at.
Grip grip_of(const SeatFacts& facts, const std::array<double, input_count>& u);

// What friction makes of a grip: the force to slide the ring when it only just moves, without the bond.
double friction_force_N(const Grip& grip, double friction);

struct Seat {
    double break_loose_N = 0;
    double sliding_N = 0;  // at full length
    double stiffness_N_per_mm = 0;
    double toe_mm = 0;
    double knee_N = 0;        // equal to break_loose_N for a straight pull
    double softening_mm = 0;  // screw travel the pivoting adds between knee and release
};
Seat seat_of(const Grip& grip, double friction);

// Normal force on the seat per um of diametral interference, N/um.
double grip_N_per_um(double D_mm, double B_mm, double ring_bore_mm, double ring_E_GPa, double ring_nu, double hub_outside_mm,
                     double hub_E_GPa, double hub_nu, double shape_factor);

// Share of the grip left when the ring has slid by this share of its width (0 to 1), up to its chamfer; 0 beyond.
double grip_left(double slid_over_width, double chamfer_over_width);

// Force factor of an off-axis pull, mu e/L in.
double off_axis_factor(double mu_e_over_L);

// Share of the release force at which a ring pulled off its axis starts to pivot, e/R in.
double knee_share(double off_axis_over_radius);

// Force at this travel of the screw since contact, mm. Out: press wind-up, break-loose, sliding, clear. In: entry, rise,
// home and the wind-up beyond.
double force_out_N(const Seat& seat, double B_mm, double chamfer_mm, double screw_mm);
double force_in_N(const Seat& seat, double B_mm, double chamfer_mm, double screw_mm);

// Screw travel at which the press holds this force with the ring not loose yet.
double wind_up_mm(const Seat& seat, double force_N);

}  // namespace halfturn::curve
