// A force-against-turns band drawn in block characters, for a terminal of 80 columns.
#pragma once

#include <string>
#include <vector>

#include "core/set_up.hpp"

namespace halfturn::curve {

struct PlotSize {
    int columns = 66;  // of the drawing itself; the force axis takes 9 more
    int rows = 12;
};

// The band between two turns, light where force is expected and heavy at its middle, with both axes. The
// curve must be in order of turns and have at least two points; force scales to the highest value in sight.
std::string plot_band(const std::vector<CurvePoint>& curve, double from_turns, double to_turns,
                      PlotSize size = {});

// The next round number at or above: 1, 2, 2.5 or 5 times a power of ten. Where a force axis ends.
double round_up(double value);

// The curve at this many turns, interpolated; the ends hold beyond.
CurvePoint curve_at(const std::vector<CurvePoint>& curve, double turns);

}  // namespace halfturn::curve
