// Linear elasticity of bodies of revolution on 8-node quadrilaterals: element stiffness and stress.
// Method: serendipity shape functions, isoparametric, 3x3 Gauss points, full circumference (2 pi r), small strains,
// E in MPa, lengths in mm, forces in N over the whole circumference.
// Source: Zienkiewicz & Taylor, The Finite Element Method (axisymmetric stress analysis).
// Error: see section_solver.hpp, which checks it against Lamé's cylinders.
#pragma once

#include <array>
#include <cstddef>
#include <vector>

namespace halfturn::fit {

// Nodes 0-3 are the corners, counter-clockwise in (z, r) seen with r up; node 4+k is the middle of side k to k+1.
using Quad = std::array<std::size_t, 8>;

struct Mesh {
    std::vector<double> z_mm, r_mm;
    std::vector<Quad> quads;
};

struct Elastic {
    double E_MPa = 0;
    double nu = 0;
};

// Row-major 16x16; unknowns 2k (axial) and 2k+1 (radial) of node k. Throws Failure on an inside-out element.
using QuadStiffness = std::array<double, 256>;
QuadStiffness quad_stiffness(const Mesh& mesh, const Quad& quad, const Elastic& elastic);

// Hoop stress at local coordinates (-1 … 1) for the element's 16 displacements in mm.
double quad_hoop_MPa(const Mesh& mesh, const Quad& quad, const Elastic& elastic,
                     const std::array<double, 16>& displacement_mm, double xi, double eta);

}  // namespace halfturn::fit
