// Two overlapping circles: the area they share, and what of one stands outside the other.
//   lens_area_mm2(1, 1, 1) -> 2 pi/3 - sqrt(3)/2 = 1.2284      lune({7.4, 7.8, 1.2}).area_mm2
//
// Method: two circular segments on the common chord; the lune's centre from its moment about the chord, where the
// segments' own moments cancel. Source: plane geometry (circular segment, e.g. Bronshtein's handbook).
// Valid: radii above 0. Error: rounding, 1e-12 relative to the larger circle. Checked against polygons cut by an independent
// geometry library, tests/plan/circles.cpp.
#pragma once

namespace halfturn::plan {

// Area common to two circles whose centres stand this far apart, mm2.
double lens_area_mm2(double one_radius_mm, double other_radius_mm, double distance_mm);

struct Lune {
    double area_mm2 = 0;
    double centre_mm = 0;  // of area, from the hole's axis towards the disc; 0 when there is no area
};

// The part of a disc that stands outside a round hole, its centre offset_mm from the hole's axis: where a drift that has
// been moved aside bears on a ring's face.
Lune lune(double disc_radius_mm, double hole_radius_mm, double offset_mm);

}  // namespace halfturn::plan
