// A pull beside the axis: the ring pivots before it lets go, bruises one edge of the seat, and may cock.
//
//   double factor = release_factor(mu * drift_reach_mm / engaged_mm);               // times F_s
//   OffAxisResult r = off_axis_pull({.seat_radius_mm = 14, .engaged_mm = 6.1, .reach_mm = 8.5, .friction = 0.13,
//                                    .interference_um = 13});                 // the whole curve
//
// F_s is what the seat holds against a straight pull (mu N0, or pull.hpp's force across the balls). e is the distance of
// the force from the axis, R the seat's radius, L the engaged length of the contact.
//
// Method: a rigid ring on radial springs along and round the seat, each with Coulomb friction (axial and round the ring)
//   that sticks through an equal tangential spring. Pressure and spring stiffness along the seat fall off from its edges
//   as under a rigid punch, 1/sqrt(1 - (2z/L)²) (outer tenths 2.05 times the mean; sections have 1.4-3.4). The drift's
//   travel is raised in steps; axial travel, tilt and sideways shift follow from balance; springs may lift off.
//   first slip  F_s/(1 + 2e/R)
//   knee        rigid-plastic pivoting: e/R = 2 sin t/(2t - pi), F/F_s = 2t/pi - 1
//   release     the whole ring slides for the first time; settled: the force when its tilt has stopped growing
// Source: this model is the project's own; the rigid-plastic knee is the limit load of a friction ring.
// Valid: one round, even seat; elastic; a force at a point, standing still. A drift that pushes over an arc is milder, so
// this is never a reason on its own to say that a way of pulling will not do. A contact that sweeps round gives no
// once-per-turn ripple on a round seat.
//
// Against an independent computation of the same kind (several rings, friction values and lengths)
//   mu e/L             <= 0.15       0.18    0.21         0.24         0.28        lock
//   there             0.98-1.00      1.02        1.07      1.08-1.18    1.4-1.9     > 0.30
//   release here      0.98-1.00   1.00-1.03   1.06-1.10   1.16-1.25   1.45-1.75     0.30
//   settled here      1.00-1.01      1.05        1.14        1.36        2.45
//   first slip over F_s/(1 + 2e/R): 0 … +6 % there and here. Knee to release there 10-120 µm, here the same up to mu e/L
//   0.18 with 13 µm of interference. Nothing of this has been confirmed on metal.
// release_factor(): within 0.02 of the model up to mu e/L 0.20, 0.05 at 0.24, 0.16 at 0.28.
#pragma once

#include <vector>

namespace halfturn::fit {

struct OffAxisPull {
    double seat_radius_mm = 0;
    double engaged_mm = 0;  // L, of the contact: width less chamfers, less what has slid out
    double reach_mm = 0;    // e
    double friction = 0;
    double interference_um = 0;  // diametral, effective: sets the scale of the movements
};

struct OffAxisPoint {
    double travel_um = 0;  // of the drift, where it pushes
    double force = 0;      // over F_s
    double tilt_mrad = 0;
    double edge_pressure = 0;  // highest mean over an outer tenth of the seat; 1: the seat's mean before the pull
};

struct OffAxisResult {
    double first_slip = 1;  // forces over F_s
    double knee = 1;
    double release = 1;     // 0 if the whole ring never slides
    double settled = 1;     // 0 when it locks
    double wind_up_um = 0;  // travel of the drift from the knee to the release
    double release_tilt_mrad = 0;
    double release_edge_pressure = 0;
    bool locks = false;  // the force keeps rising past six times F_s
    std::vector<OffAxisPoint> curve;
};

// The whole curve; a few ms to some tens of ms. Throws BadInput unless all sizes are above 0 (reach: at least 0), friction
// below 1 and reach below 3 R.
OffAxisResult off_axis_pull(const OffAxisPull& pull);

// F/F_s where the ring starts to pivot, for e/R >= 0.
double pivot_knee(double reach_over_radius);

// The release force over F_s under a force at a point, by a table of the model over mu e/L (>= 0) alone; 2.2 beyond 0.30,
// where a ring may lock: turning the screw sweeps the contact round, which holds a cocking ring to 2-2.5.
double release_factor(double mu_e_over_L);

// Engaged length below which the ring may cock (mu e/L above 0.30), and below which it gets stiffer (above 0.15).
double cocking_length_mm(double friction, double reach_mm);
double stiffening_length_mm(double friction, double reach_mm);

// Travel after which the engaged length has come down to that; 0 when it already is.
double travel_until_cocking_mm(double friction, double reach_mm, double engaged_mm);

}  // namespace halfturn::fit
