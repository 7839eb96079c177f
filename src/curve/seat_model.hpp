// One seat with every doubt settled: how hard it grips, where it breaks loose, and the force along the way.
// Pure arithmetic, called thousands of times an expectation.
//
// Grip: the section's (or the closed formula's) normal force per um for the middle of the hub's wall and stiffness, carried
//   to other walls and stiffnesses by the thick-cylinder give of ring and hub, the hub's divided by the factor that makes
//   the two agree at the middle. Over walls of 1.15 to 2.5 and E of 45 to 208 GPa this follows the formula exactly.
// Pull through the balls: F = mu N / (1 - lambda mu s), s the spread per newton at about that force (ball_angles.hpp).
// Off axis: the whole ring moves at F times 1 up to mu e/L = 0.15, 1.02 at 0.18, 1.07 at 0.21, 1.13 at 0.24, 1.6 at 0.28,
//   both together limited to 2.2 where it would lock: an arc of contact and a drift that sweeps round keep it from running away.
//   Before that, near F times 2t/pi - 1 with e/R = 2 sin t/(2t - pi), the ring starts to pivot and the wind-up softens: a
//   knee, which is not the release.
#pragma once

#include <array>
#include <cstdint>
#include <vector>

#include "core/set_up.hpp"
#include "curve/seat_facts.hpp"

namespace halfturn::curve {

// The doubts in the order of the lattice's coordinates, the weightiest first.
enum class Input : std::uint8_t {
    friction,
    bore,
    ring,
    grip_model,
    lambda,
    off_axis,
    hub_outside,
    smoothing,
    hub_E,
    bond,
    over_sliding,
    stiffness,
    toe,
    softening,
    clearance,
};
constexpr std::size_t input_count = 15;

// All but friction settled.
struct Grip {
    double interference_um = 0;  // negative: loose
    double pressure_MPa = 0;     // mean over the ring's width
    double normal_N = 0;         // on the whole seat
    double clearance_um = 0;     // radial play of the bearing in its seat; negative: preloaded
    double lambda = 0;           // growth of the grip per newton the balls spread the ring with
    std::size_t clearance_row = 0;
    double off_axis_over_L = 0;
    double knee_share = 1;  // of the release force at which an off-axis ring starts to pivot
    double softening_mm = 0;
    double bond_N = 0;
    double over_sliding = 1;
    double stiffness_N_per_mm = 0;
    double toe_mm = 0;
};

// Draws grips of one seat. Keeps a reference to the facts.
class SeatModel {
public:
    explicit SeatModel(const SeatFacts& facts);
    // u: one number in (0, 1) for each input; friction's is not looked at.
    Grip grip(const std::array<double, input_count>& u) const;
    // Normal force per um of diametral interference for this wall and stiffness, before the model's own
    // doubt.
    double N_per_um(double hub_outside_mm, double hub_E_GPa) const;

private:
    double hub_give(double outside_mm, double E_GPa) const;  // um/MPa
    const SeatFacts& facts_;
    double ring_give_;  // um/MPa
    double area_mm2_;
    double stiffening_;  // divides the hub's give
};

// What friction makes of a grip: the force to slide the ring when it only just moves, without the bond.
double friction_force_N(const Grip& grip, const BallAngles& balls, double friction);

struct Seat {
    double break_loose_N = 0;
    double sliding_N = 0;  // at full length
    double stiffness_N_per_mm = 0;
    double toe_mm = 0;
    double knee_N = 0;        // equal to break_loose_N for a straight pull
    double softening_mm = 0;  // screw travel the pivoting adds between knee and release
};
Seat seat_of(const Grip& grip, const BallAngles& balls, double friction);

// Share of the release force at which a ring pulled off its axis starts to pivot, e/R in: fit::pivot_knee() tabulated for
// speed, within 0.005 of it.
double knee_share(double off_axis_over_radius);

// Share of the grip left after sliding out, tabulated for speed: within 0.005 of the section's own points.
class GripFall {
public:
    explicit GripFall(const fit::GripLeft& left);
    double at(double slid_mm) const;  // 1 before 0, 0 from clear_mm on
    double clear_mm() const { return clear_mm_; }

private:
    std::vector<double> share_;
    double clear_mm_;
    double per_mm_;
};

// Force at this travel of the screw since contact, mm. Out: press wind-up, break-loose, sliding, clear. In:
// entry, rise, home and the wind-up beyond.
double force_out_N(const Seat& seat, const GripFall& fall, double screw_mm);
double force_in_N(const Seat& seat, const GripFall& fall, double screw_mm);

// Screw travel at which the press holds this force with the ring not loose yet.
double wind_up_mm(const Seat& seat, double force_N);

}  // namespace halfturn::curve
