// What a spacer of the wrong length does to a pair of bearings: axial play lost, then a preload on the balls.
//   spacer_preload(ball_path(ring), 20).preload_N
//
// Method: clamped on the spacer, each inner ring stands |error|/2 out of the middle. Its free play to one side is
// A sin a0 (cos a0 = 1 - clearance/2A); beyond it the balls carry at the angle tan a = x/(A cos a0), each
// Q = ((A cos a0/cos a - A)/K)^(3/2) by Hertz. The constants are pull.hpp's.
// Source: Harris, Rolling Bearing Analysis (ball bearing under thrust). Valid: rigid rings, the same play in both bearings;
// real hubs and axles give, so the preload is an upper bound.
#pragma once

#include "fit/pull.hpp"

namespace halfturn::plan {

struct SpacerPreload {
    double play_um = 0;     // how wrong the length may be, either way, before the balls are loaded
    double preload_N = 0;   // on each bearing, at this error; 0 within the play
};

// error_um: spacer length less the distance between the seats' shoulders; its sign does not matter.
SpacerPreload spacer_preload(const fit::BallPath& path, double error_um);

}  // namespace halfturn::plan
