// The ring pressed into its housing, by axisymmetric finite elements: grip, pressure along the seat, raceway, hoop stress.
//
//   SectionResult r = solve_section(ring_section({15, 28, 7, true}), housing_section(housing, ring), {70e3, 0.33});
//   r.N_per_um * delta_um is the normal force on the seat; all results are per µm of diametral interference.
//
// Method: 8-node quadrilaterals (axisymmetric.hpp), ring and housing meshed with paired nodes over the seat; there the
// radial displacements differ by half the interference (prescribed), axial sliding is free. Nodes under tension open,
// overlapping ones close, until neither happens. Solved as one sparse LDL^T system.
// Source: standard displacement finite elements; linear elasticity.
// Valid: elastic, round, smooth bodies, small interference (a thousandth of D), nothing but the seat touching.
// Time: 3-20 ms for a ring in its hub (1500-5000 unknowns).
//
// Checked (tests/section/)                                                       worst N    worst raceway
//   plain cylinders against Lamé, Do/D 1.1-3, aluminium, steel, magnesium         0.01 %      0.1 %
//   61902, 61802 flush and with a shoulder, figures of two independent solvers    0.1 %       0.2 %
//   sliding out of a shoulder hub, the same solvers' ten shares                   0.005       -
//   13 stepped hubs, flanges, tubes, slid-out rings against CalculiX 2.20         0.6 %       0.5 %
//   mesh three times finer                                                        0.3 %       0.5 %
// Pressure right at the ends of the seat grows without limit on ever finer meshes (as under any sharp edge): its value
// there belongs to the mesh, its sum over a length does not.
#pragma once

#include <vector>

#include "fit/axisymmetric.hpp"
#include "fit/housing.hpp"
#include "fit/ring_section.hpp"
#include "fit/section_mesh.hpp"

namespace halfturn::fit {

struct SeatPoint {
    double from_face_mm = 0;  // along the axis from the ring's outer face
    double length_mm = 0;     // this point answers for: N is pi D times the sum of pressure times length
    double pressure_MPa_per_um = 0;
    double hoop_MPa_per_um = 0;  // of the housing, at the bore
};

struct SectionResult {
    double N_per_um = 0;
    double raceway_um_per_um = 0;     // groove-bottom diameter lost per µm of interference
    double lambda = 0;                // seat force gained per unit of radial line load on the groove bottom
    double hoop_mean_MPa_per_um = 0;  // of the housing at the bore, mean along the seat
    double engaged_mm = 0;
    bool opened = false;  // part of the seat has no contact
    std::vector<SeatPoint> seat;
    std::size_t unknowns = 0;
};

// The ring slid out by slide_mm. Throws Failure if nothing touches.
SectionResult solve_section(const RingSection& ring, const HousingSection& housing,
                            const Elastic& housing_metal, double slide_mm = 0,
                            const SectionFineness& fineness = {});

}  // namespace halfturn::fit
