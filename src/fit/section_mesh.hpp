// Meshes of a ring's section and of a housing, sharing their lines across the seat so that contact is node on node.
// Method: one row of axial lines for both bodies, fine at the ends of the contact and growing away from them; the ring
// follows its groove, recess and chamfers, the housing is a grid of rectangles with the empty ones left out.
#pragma once

#include <array>
#include <vector>

#include "fit/axisymmetric.hpp"
#include "fit/housing.hpp"
#include "fit/ring_section.hpp"

namespace halfturn::fit {

struct SectionFineness {
    double edge_mm = 0.08;  // element length at the ends of the contact
    double growth = 0.35;   // how fast elements grow with the distance from there
    double largest_of_B = 0.16;
};

struct SectionMesh {
    Mesh ring, housing;
    // The sides that touch, in order along the axis: corner, middle, corner. The n-th of one lies on the n-th of the other.
    std::vector<std::array<std::size_t, 3>> ring_sides, housing_sides;
    std::vector<std::size_t> housing_side_quads;  // each housing side is nodes 0, 4, 1 of this quad
    std::size_t groove_bottom = 0;  // ring node
    double engaged_mm = 0;          // length of the contact
};

// The ring slid out by slide_mm towards the mouth. Throws Failure if nothing touches.
SectionMesh section_mesh(const RingSection& ring, const HousingSection& housing, double slide_mm,
                         const SectionFineness& fineness);

// Length of seat that can touch the ring slid out by slide_mm; 0 over a wider bore or outside.
double engaged_mm(const RingSection& ring, const HousingSection& housing, double slide_mm);

// Travel towards the mouth at which nothing touches any more.
double clear_travel_mm(const RingSection& ring, const HousingSection& housing);

}  // namespace halfturn::fit
