// How hard a ring's seat grips per µm of interference, what that does to the raceway, and how it fades as the ring
// slides out: the one front door for whoever expects a force.
//
//   RingSection ring = ring_section({15, 28, 7, true});
//   SeatStiffness seat = seat_stiffness(ring, {.shape = HousingShape::shoulder_behind, .outside_mm = 36.4});
//   double N0 = seat.N_per_um * delta_um;   double F = friction * N0 * seat.grip_left.at(travel_mm);
//
// Methods
//   section: the finite-element solution of ring and housing (section_solver.hpp), for a named shape or steps; the ring
//     is then solved again slid out by a dozen travels. 15-100 ms in all.
//   correction: N = pi D B delta / [c_ring(di) + c_house / f], when only a shape and a wall are known:
//     c_ring = (D/Er)((D²+di²)/(D²-di²) - nu_r), c_house = (D/Eh)((Do²+D²)/(Do²-D²) + nu_h), di the equal-area bore,
//     Do the outside over the seat, f how much the metal beside the seat stiffens it (a fitted power law).
// Interference is diametral everywhere. Elastic, round, smooth bodies; smoothing loss is the caller's.
// Source: Lamé's plane-stress cylinders; f by least squares over this project's finite-element runs: 35 bearings of
// series 60, 62, 63, 618, 619 with bores 10-30 mm, sealed and open, in aluminium and steel, Do/D 1.1 to 2.5.
//
// Error of the correction against those runs, N in % (raceway: groove bottom, median ratio taken out)
//   shape              N worst low  N worst high  N rms    raceway worst
//   flush                  -0.7         +0.7       0.2         3
//   bore-goes-on           -2.9         +1.5       0.6        10
//   shoulder-behind        -4.1         +2.4       0.8        11
//   long-tube              -5.5         +3.2       1.0        17
//   flange-behind          -8.5         +3.8       1.3        15
//   flange-over-seat       -3.0         +2.1       0.7        10
// (The worst lie at Do/D 1.1.) A name leaves sizes open; real hubs of the name differ by: shoulder 0.5-3 mm high
// -5 … +9 %, shoulder only 0.5 B long -8 %, a lip of 1 mm in front of the ring +5 … +12 %, flange half as high -10 %,
// flange 0.8 B thick +16 %. N_per_um_rel_u holds these as well as the doubt in the ring's section.
// Checked: tests/section/ against two independent finite-element solvers (0.2 %), the correction against the section.
#pragma once

#include <vector>

#include "fit/housing.hpp"
#include "fit/ring_section.hpp"

namespace halfturn::fit {

// Share of the first grip that is left when the ring has slid out by a travel; linear between the points.
struct GripLeft {
    std::vector<double> travel_mm;  // rising, from 0
    std::vector<double> share;      // from 1 down to 0, where the ring is clear
    double at(double mm) const;     // 1 before 0, 0 beyond the last point
    double clear_mm() const;        // travel at which nothing grips any more
};

enum class StiffnessMethod { correction, section };

struct SeatStiffness {
    StiffnessMethod method = StiffnessMethod::correction;
    double N_per_um = 0;           // normal force on the whole seat per µm of diametral interference
    double N_per_um_rel_u = 0;     // standard uncertainty, relative: ring section, housing shape and method
    double raceway_um_per_um = 0;  // groove-bottom diameter lost per µm of interference
    double raceway_um_per_um_rel_u = 0;
    double hoop_MPa_per_um = 0;    // housing hoop stress at the seat, mean along it
    double contact_length_mm = 0;  // B less the chamfers: where the seat can press
    GripLeft grip_left;
    double grip_left_u = 0;  // standard uncertainty of a share
    // Growth of the normal force per unit of radial force of the balls spreading the ring (for an axial ball force F that
    // is F cot(contact angle)). By reciprocity it equals raceway_um_per_um; see pull.hpp.
    double lambda = 0;
    double lambda_rel_u = 0;
    GripLeft lambda_left;  // share of lambda that is left when slid out
};

// Section method for a named shape or steps, correction for HousingShape::unknown (any of the shapes, with that doubt).
// Throws BadInput as ring_section and housing_section do.
SeatStiffness seat_stiffness(const RingSection& ring, const Housing& housing);

// The closed formula alone: some µs instead of the section's tenth of a second. With steps: anything between the softest
// shape with the thinnest wall over the ring and the stiffest with the thickest near it, with that doubt.
SeatStiffness seat_stiffness_by_correction(const RingSection& ring, const Housing& housing);

}  // namespace halfturn::fit
