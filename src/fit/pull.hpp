// Pulling a bearing by its inner ring: the force crosses the balls, spreads the outer ring and so tightens its seat.
//
//   BallPath path = ball_path(ring);  path.clearance_um = 6;      // as mounted, diametral
//   AcrossBalls pull = release_across_balls(path, friction * N0, seat.lambda * friction);
//   pull.force_N is what the screw must reach; pull.factor times the force needed on the outer ring.
//
// Method
//   contact angle a: F = Z Q sin a, ball approach = A (cos a0 / cos a - 1) = K Q^(2/3), A = (fi + fo - 1) ball,
//     cos a0 = 1 - clearance / (2 A); K of both contacts by Hertz with complete elliptic integrals; rigid rings
//   release: F = mu [N0 + lambda (F cot a - preload)], that is F_s = mu N0 / (1 - lambda mu cot a), solved with a(F)
// Source: Harris, Rolling Bearing Analysis (thrust load on a ball bearing, point contact); lambda from the section.
// Valid: a0 from 0 (tight) to 25°, loads below the balls' rated static load; both grooves of the same radius; balls all
// loaded alike; rings that stay round. The rings' own give would raise a and lower the factor by a few percent.
//
// Checked (tests/section/pull.cpp)                                                              worst difference
//   contact against Brewe and Hamrock's published fit (itself good to 3 %)                      2 %
//   the 218 angular-contact bearing of Harris' book (40°, 17.8 kN; from memory, not looked up)  0.2°
//   factors at friction 0.13, rings 61800-6204, interference 5-15 µm, clearance 0-18 µm         1.13-1.38
#pragma once

#include "fit/ring_section.hpp"

namespace halfturn::fit {

struct BallPath {
    double ball_mm = 0;
    int ball_count = 0;
    double pitch_mm = 0;          // diameter of the circle of ball centres
    double groove_radius_mm = 0;  // of both rings
    double clearance_um = 0;      // radial internal clearance (a diameter) as mounted; negative: preloaded
    double E_GPa = 208;
    double nu = 0.30;
};

// From the ring's section; the clearance is the caller's: ISO 5753-1 less what the fits take
// (seat.raceway_um_per_um times the interference).
BallPath ball_path(const RingSection& ring);

// Approach of one ball's two grooves under load, mm / N^(2/3). Throws BadInput unless the groove is wider than the ball.
double ball_give(const BallPath& path);

// Angle of the balls' contact under an axial force, degrees. axial_N >= 0.
double contact_angle_deg(const BallPath& path, double axial_N);

struct AcrossBalls {
    double force_N = 0;            // at which the seat lets go
    double factor = 1;             // over pulling the outer ring itself
    double contact_angle_deg = 0;  // at that force
    double ball_load_N = 0;        // on each ball: to compare with what dents the raceway
};

// on_ring_N = mu N0, what the seat holds against a pull on the outer ring; mu_lambda = mu times lambda. Both >= 0.
AcrossBalls release_across_balls(const BallPath& path, double on_ring_N, double mu_lambda);

}  // namespace halfturn::fit
