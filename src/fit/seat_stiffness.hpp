// How hard a ring's seat grips per µm of interference, what that does to the raceway, and how it fades as the ring
// slides out: the one front door for whoever expects a force.
//
//   RingSection ring = ring_section({15, 28, 7, true});
//   SeatStiffness seat = seat_stiffness(ring, {.shape = HousingShape::shoulder_behind, .outside_mm = 36.4});
//   double N0 = seat.N_per_um * delta_um;   double F = friction * N0 * seat.grip_left.at(travel_mm);
//
// Methods
//   section: the finite-element solution of ring and housing (section_solver.hpp), for a named shape or steps.
//   correction: N = pi D B delta / [c_ring(di) + c_house / f], when only a shape and a wall are known:
//     c_ring = (D/Er)((D²+di²)/(D²-di²) - nu_r), c_house = (D/Eh)((Do²+D²)/(Do²-D²) + nu_h), di the equal-area bore,
//     Do the outside over the seat, f how much the metal beside the seat stiffens it.
// Interference is diametral everywhere. Elastic, round, smooth bodies; smoothing loss is the caller's.
// Source: Lamé's plane-stress cylinders; f from this project's finite-element runs.
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
    double N_per_um = 0;                 // normal force on the whole seat per µm of diametral interference
    double N_per_um_rel_u = 0;           // standard uncertainty, relative: ring section, housing shape and method
    double raceway_um_per_um = 0;        // groove-bottom diameter lost per µm of interference
    double raceway_um_per_um_rel_u = 0;
    double hoop_MPa_per_um = 0;          // housing hoop stress at the seat, mean along it
    double contact_length_mm = 0;        // B less the chamfers: where the seat can press
    GripLeft grip_left;
    double grip_left_u = 0;              // standard uncertainty of a share
    double lambda = 0;                   // growth of the normal force per unit of ball force spreading the ring
    double lambda_u = 0;
};

// Section method for a named shape or steps, correction for HousingShape::unknown (any of the shapes, with that doubt).
// Throws BadInput as ring_section and housing_section do.
SeatStiffness seat_stiffness(const RingSection& ring, const Housing& housing);

// The closed formula alone: some µs instead of the section's fraction of a second. With steps it takes the outside over
// the middle of the seat and the doubt of an unknown shape.
SeatStiffness seat_stiffness_by_correction(const RingSection& ring, const Housing& housing);

}  // namespace halfturn::fit
