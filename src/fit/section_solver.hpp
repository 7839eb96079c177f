// The ring pressed into its housing, by axisymmetric finite elements: grip, pressure along the seat, raceway, hoop stress.
//
//   SectionResult r = solve_section(ring_section({15, 28, 7, true}), housing_section(housing, ring), {70, 0.33});
//   r.N_per_um * delta_um is the normal force on the seat; all results are per µm of diametral interference.
//
// Method: 8-node quadrilaterals (axisymmetric.hpp), ring and housing meshed with paired nodes over the seat; there the
// radial displacements differ by half the interference (prescribed), axial sliding is free. Nodes under tension open,
// overlapping ones close, until neither happens. Solved as one sparse LDL^T system.
// Source: standard displacement finite elements; linear elasticity.
// Valid: elastic, round, smooth bodies, small interference (a thousandth of D).
#pragma once

#include <vector>

#include "fit/axisymmetric.hpp"
#include "fit/housing.hpp"
#include "fit/ring_section.hpp"
#include "fit/section_mesh.hpp"

namespace halfturn::fit {

struct SeatPoint {
    double from_face_mm = 0;  // along the axis from the ring's outer face
    double length_mm = 0;     // of the seat this point stands for; pi D times the sum of pressure and length is the force
    double pressure_MPa_per_um = 0;
    double hoop_MPa_per_um = 0;  // of the housing, at the bore
};

struct SectionResult {
    double N_per_um = 0;
    double raceway_um_per_um = 0;    // groove-bottom diameter lost per µm of interference
    double lambda = 0;               // seat force gained per unit of radial line load on the groove bottom
    double hoop_mean_MPa_per_um = 0; // of the housing at the bore, mean along the seat
    double engaged_mm = 0;
    bool opened = false;             // part of the seat has no contact
    std::vector<SeatPoint> seat;
    std::size_t unknowns = 0;
};

// The ring slid out by slide_mm. Throws Failure if nothing touches.
SectionResult solve_section(const RingSection& ring, const HousingSection& housing, const Elastic& housing_metal,
                            double slide_mm = 0, const SectionFineness& fineness = {});

}  // namespace halfturn::fit
