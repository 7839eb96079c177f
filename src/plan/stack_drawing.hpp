// The stack as a drawing: a section along the screw's axis, to a stated scale of ISO 5455, the force's way drawn as a loop.
//   const sheet::Drawing drawing = stack_drawing(stack, {277, 190, true});
//
// Pure. Upper half: the parts with their numbers; lower half: the same with the way of the force. Moving parts are grey.
// Hatching by ISO 128-3 (screw, nut and balls are not cut), threads by ISO 6410-1, dimensions by ISO 129-1.
#pragma once

#include "plan/stack.hpp"
#include "sheet/drawing.hpp"

namespace halfturn::plan {

struct DrawingSize {
    double width_mm = 0, height_mm = 0;
    bool with_list = false;  // of the parts, under the section
};

// The largest scale at which the stack fits; a longer free end of the screw is shown broken off.
sheet::Drawing stack_drawing(const Stack& stack, DrawingSize size);

}  // namespace halfturn::plan
