// The outer ring of a deep-groove ball bearing as it is: groove, shoulders, seal recess and chamfers, not a plain tube.
// What counts for the grip on a seat is the area of this section; see equal_area_bore_mm.
//
//   RingSection ring = ring_section({.d_mm = 15, .D_mm = 28, .B_mm = 7, .sealed = true});   // 61902, sealed
//   RingSection mine = ring_section({15, 28, 7, true}, {.ball_mm = 3.969, .shoulder_mm = 24.1});
//
// Method: the section follows from the ball.
//   groove bottom  = (d + D)/2 + ball + 0.006 mm          groove radius = 0.53 ball
//   shoulder       = groove bottom - k ball, k = 0.34 (series 618), 0.36 (619), 0.40 (60, 62, 63)
//   seal recess    = from each face over 0.65 of the land, to the diameter in the table, else D - 0.216 (D - d)
//   chamfer 45°    = 0.45 mm, from D 35 with B 11 up 0.8 mm
//   ball           = the table in ring_section.cpp, else 0.295 (D - d) but at most 0.55 B, to the nearest 1/64 inch
// Source: common practice, no published source; ball sizes and counts from memory, not looked up, but every one for
// which a published static rating C0 and its factor f0 were at hand agrees with C0 = f0 Z ball² (the form of ISO 76):
// 19 of 21 designations within 0.5 %, 61804 and 61806 within 4 % (one maker uses a metric ball there).
// Valid: d 10-30 mm, series 60, 62, 63, 618, 619; other sizes by the rule with its larger doubt.
//
// Worst errors
//   ball by the rule instead of the table, over the table's 35 rings    0 % median, -17 % … +17 %
//   shoulder by the rule against ten catalogue values                    0.73 mm and 1.8 % of N (6205), else 1.3 %
//   ball off by 10 %                                                     about 4 % of N, the thinner ring grips less
#pragma once

#include <optional>

namespace halfturn::fit {

struct BearingSize {
    double d_mm = 0;
    double D_mm = 0;
    double B_mm = 0;
    bool sealed = true;
};

// What the user measured; whatever is missing follows from the rules above. Diameters in mm.
struct RingMeasures {
    std::optional<double> ball_mm{};
    std::optional<int> ball_count{};
    std::optional<double> groove_bottom_mm{};
    std::optional<double> groove_radius_mm{};
    std::optional<double> shoulder_mm{};
    std::optional<double> recess_mm{};        // diameter of the seal recess
    std::optional<double> recess_depth_mm{};  // from the face, along the axis
    std::optional<double> chamfer_mm{};       // leg of the 45° chamfer at the outside corners
};

// Where the ball diameter came from: this sets the doubt in the section.
enum class BallSource { measured, table, rule };

struct RingSection {
    double d_mm = 0, D_mm = 0, B_mm = 0;
    bool sealed = true;
    double ball_mm = 0;
    int ball_count = 0;
    double groove_bottom_mm = 0;  // diameter
    double groove_radius_mm = 0;
    double groove_half_width_mm = 0;  // along the axis, at the shoulder
    double shoulder_mm = 0;           // diameter
    double recess_mm = 0;             // diameter; equals the shoulder when there is no recess
    double recess_depth_mm = 0;       // 0 when there is no recess
    double chamfer_mm = 0;
    double E_GPa = 208;  // hardened bearing steel
    double nu = 0.30;

    double area_mm2 = 0;  // of the section on one side of the axis
    double equal_area_bore_mm = 0;  // of the plain ring as wide with the same area: D - 2 area / B
    BallSource ball_source = BallSource::rule;
    double ball_rel_u = 0;            // standard uncertainty of the ball diameter, relative
    double equal_area_bore_u_mm = 0;  // standard uncertainty of the equal-area bore that follows
};

// The section from the size and what was measured. Throws BadInput when the sizes can't be a ball bearing or the
// measures contradict each other; the message names the measure, what it must lie between, and how to mend it.
RingSection ring_section(const BearingSize& size, const RingMeasures& measured = {});

// A plain ring without groove, recess or chamfer: what closed formulas speak of. Needs 0 < bore < D and B > 0.
RingSection plain_ring(double bore_mm, double D_mm, double B_mm);

}  // namespace halfturn::fit
