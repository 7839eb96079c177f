// When a nut's and a screw's threads strip, and how long an engagement must be.
//   stripping(find_thread("M8"), 6.5, 580, 235).screw_N
//
// Method: cylinders of shear at the nut's minor and the screw's major diameter, basic sizes, every turn of thread bearing
// alike: external pi D1 Le/P [P/2 + (d2 - D1)/sqrt 3], internal pi d Le/P [P/2 + (d - D2)/sqrt 3]; shear yields at the
// yield stress / sqrt 3 (von Mises).
// Source: shear areas of FED-STD-H28/2B (as in Machinery's Handbook, from memory, not looked up), at basic sizes.
// Valid: ISO metric threads, engagement of at least one pitch. Error: real threads have play: areas up to 15 % smaller; the
// first turns carry more than their share, which yielding evens out.
#pragma once

#include "fit/threads.hpp"

namespace halfturn::plan {

struct Stripping {
    double screw_area_mm2 = 0, nut_area_mm2 = 0;
    double screw_N = 0;  // load at which the screw's thread yields in shear
    double nut_N = 0;
    double least_N() const { return screw_N < nut_N ? screw_N : nut_N; }
};

Stripping stripping(const fit::Thread& thread, double engaged_mm, double screw_yield_MPa, double nut_yield_MPa);

}  // namespace halfturn::plan
