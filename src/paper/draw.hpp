// Draws a sheet::Drawing: lines and hatching by ISO 128 (thick 0.35 mm, thin 0.18 mm), dimensions by ISO 129-1.
#pragma once

#include "paper/pen.hpp"
#include "sheet/drawing.hpp"

namespace halfturn::paper {

// Its upper left corner at this point of the page, enlarged by `scale`.
void draw(cairo_t* cairo, const sheet::Drawing& drawing, double x_mm, double y_mm, double scale = 1);

}  // namespace halfturn::paper
