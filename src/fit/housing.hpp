// The metal round the seat: one of six named shapes with a wall, or a short list of steps along the axis.
//
//   Housing simple{.shape = HousingShape::shoulder_behind, .outside_mm = 40};
//   Housing own;                                      // the same hub, from its mouth inward
//   own.steps = {{.length_mm = 7, .bore_mm = 28, .outside_mm = 40}, {.length_mm = 21, .bore_mm = 25.5, .outside_mm = 40}};
//   own.seat_from_mouth_mm = 0;                       // where the ring's outer face stands
//
// The steps are read along the axis from the mouth (the end the ring leaves by). Every step the ring touches has the
// bore D. A shoulder is a step with a smaller bore, a flange one with a larger outside.
#pragma once

#include <string>
#include <vector>

#include "core/housing_shape.hpp"
#include "fit/ring_section.hpp"

namespace halfturn::fit {

struct HousingStep {
    double length_mm = 0;
    double bore_mm = 0;     // diameter
    double outside_mm = 0;  // diameter
};

struct Housing {
    HousingShape shape = HousingShape::unknown;
    double outside_mm = 0;             // diameter over the seat, for a named shape
    std::vector<HousingStep> steps{};  // instead of shape and outside, when not empty
    double seat_from_mouth_mm = 0;     // with steps: from the first step's free face to the ring's outer face
    double E_GPa = 70;                 // aluminium
    double nu = 0.33;
};

// The steps of a named shape round this ring; steps given by the user come back as they are, checked: lengths and walls
// above 0, neighbours touching, the bore D wherever the ring sits, the ring inside the housing. Also sets where the
// ring's outer face stands. HousingShape::unknown has no steps: BadInput. Throws BadInput naming the step and the mending.
struct HousingSection {
    std::vector<HousingStep> steps;
    double seat_from_mouth_mm = 0;
};
HousingSection housing_section(const Housing& housing, const RingSection& ring);

}  // namespace halfturn::fit
