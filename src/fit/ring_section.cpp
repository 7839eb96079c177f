#include "fit/ring_section.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <string>

#include "core/failure.hpp"
#include "core/number_text.hpp"

namespace halfturn::fit {
namespace {

struct KnownRing {
    double d_mm, D_mm, B_mm;
    double ball_mm;
    int ball_count;
    double shoulder_factor;  // groove bottom less shoulder diameter, in balls
    double recess_mm;        // catalogue value of a sealed variant; 0: by the rule
    double chamfer_mm;       // about 1.4 times the smallest corner ISO 15 allows (r 0.3, 0.6, 1.0, 1.1)
};

// Ball diameters are inch sizes.
constexpr std::array known_rings{
    KnownRing{10, 19, 5, 2.381, 10, 0.34, 0, 0.45},      // 61800
    KnownRing{12, 21, 5, 2.381, 12, 0.34, 0, 0.45},      // 61801
    KnownRing{15, 24, 5, 2.381, 14, 0.34, 22.2, 0.45},   // 61802
    KnownRing{17, 26, 5, 2.381, 16, 0.34, 24.2, 0.45},   // 61803
    KnownRing{20, 32, 7, 3.572, 13, 0.34, 29.4, 0.45},   // 61804
    KnownRing{25, 37, 7, 3.572, 15, 0.34, 34.2, 0.45},   // 61805
    KnownRing{30, 42, 7, 3.572, 18, 0.34, 0, 0.45},      // 61806
    KnownRing{10, 22, 6, 3.175, 9, 0.36, 0, 0.45},       // 61900
    KnownRing{12, 24, 6, 3.175, 10, 0.36, 0, 0.45},      // 61901
    KnownRing{15, 28, 7, 3.969, 10, 0.36, 25.3, 0.45},   // 61902
    KnownRing{17, 30, 7, 3.969, 11, 0.36, 0, 0.45},      // 61903
    KnownRing{20, 37, 9, 4.762, 11, 0.36, 0, 0.45},      // 61904
    KnownRing{25, 42, 9, 4.762, 13, 0.36, 37.8, 0.45},   // 61905
    KnownRing{30, 47, 9, 4.762, 15, 0.36, 0, 0.45},      // 61906
    KnownRing{10, 26, 8, 4.762, 7, 0.40, 0, 0.45},       // 6000
    KnownRing{12, 28, 8, 4.762, 8, 0.40, 24.72, 0.45},   // 6001
    KnownRing{15, 32, 9, 4.762, 9, 0.40, 28.2, 0.45},    // 6002
    KnownRing{17, 35, 10, 4.762, 10, 0.40, 0, 0.45},     // 6003
    KnownRing{20, 42, 12, 6.350, 9, 0.40, 37.2, 0.80},   // 6004
    KnownRing{25, 47, 12, 6.350, 10, 0.40, 42.2, 0.80},  // 6005
    KnownRing{30, 55, 13, 7.144, 11, 0.40, 0, 1.30},     // 6006
    KnownRing{10, 30, 9, 4.762, 8, 0.40, 0, 0.80},       // 6200
    KnownRing{12, 32, 10, 5.953, 7, 0.40, 0, 0.80},      // 6201
    KnownRing{15, 35, 11, 5.953, 8, 0.40, 30.35, 0.80},  // 6202
    KnownRing{17, 40, 12, 6.747, 8, 0.40, 35.0, 0.80},   // 6203
    KnownRing{20, 47, 14, 7.938, 8, 0.40, 0, 1.30},      // 6204
    KnownRing{25, 52, 15, 7.938, 9, 0.40, 46.3, 1.30},   // 6205
    KnownRing{30, 62, 16, 9.525, 9, 0.40, 0, 1.30},      // 6206
    KnownRing{10, 35, 11, 6.350, 7, 0.40, 0, 0.80},      // 6300
    KnownRing{12, 37, 12, 7.938, 6, 0.40, 0, 1.30},      // 6301
    KnownRing{15, 42, 13, 7.938, 7, 0.40, 0, 1.30},      // 6302
    KnownRing{17, 47, 14, 8.731, 7, 0.40, 0, 1.30},      // 6303
    KnownRing{20, 52, 15, 9.525, 7, 0.40, 0, 1.45},      // 6304
    KnownRing{25, 62, 17, 11.509, 7, 0.40, 0, 1.45},     // 6305
    KnownRing{30, 72, 19, 11.906, 8, 0.40, 0, 1.45},     // 6306
};

const KnownRing* find_known(const BearingSize& size) {
    for (const KnownRing& ring : known_rings) {
        if (std::abs(ring.d_mm - size.d_mm) < 0.05 && std::abs(ring.D_mm - size.D_mm) < 0.05 &&
            std::abs(ring.B_mm - size.B_mm) < 0.05) {
            return &ring;
        }
    }
    return nullptr;
}

void require(bool holds, const std::string& text) {
    if (!holds) throw BadInput(text);
}

std::string length_text(double value_mm) { return figures_text(value_mm, 4) + " mm"; }

// As many balls as go in past the open side: the filling angle is about 186° (common practice).
int count_by_rule(double pitch_mm, double ball_mm) {
    const double step = 2 * std::asin(std::min(0.5, ball_mm / pitch_mm));
    return std::max(3, static_cast<int>(std::floor(1.3 + 1.03 * std::numbers::pi / step)));
}

double ball_by_rule(const BearingSize& size) {
    const double sixtyfourth = 25.4 / 64;
    const double ball = std::min(0.295 * (size.D_mm - size.d_mm), 0.55 * size.B_mm);
    return std::max(1.0, std::round(ball / sixtyfourth)) * sixtyfourth;
}

// Area between the chord at the shoulder and the groove's arc.
double groove_area(const RingSection& ring) {
    const double half_angle = std::asin(ring.groove_half_width_mm / ring.groove_radius_mm);
    return ring.groove_radius_mm * ring.groove_radius_mm *
           (half_angle - std::sin(half_angle) * std::cos(half_angle));
}

void measure_area(RingSection& ring) {
    const double land = 0.5 * (ring.D_mm - ring.shoulder_mm) * ring.B_mm;
    const double recesses =
        ring.recess_depth_mm * (ring.recess_mm - ring.shoulder_mm);  // two of half the diameter
    ring.area_mm2 = land - recesses - groove_area(ring) - ring.chamfer_mm * ring.chamfer_mm;
    ring.equal_area_bore_mm = ring.D_mm - 2 * ring.area_mm2 / ring.B_mm;
}

// Everything that depends on the ball, for a given ball.
void shape_ring(RingSection& ring, const RingMeasures& measured, const KnownRing* known) {
    const BearingSize size{ring.d_mm, ring.D_mm, ring.B_mm, ring.sealed};
    const double D = size.D_mm;
    ring.groove_bottom_mm = measured.groove_bottom_mm.value_or((size.d_mm + D) / 2 + ring.ball_mm + 0.006);
    ring.groove_radius_mm = measured.groove_radius_mm.value_or(0.53 * ring.ball_mm);
    require(ring.groove_bottom_mm > size.d_mm && ring.groove_bottom_mm < D - 0.1,
            "The groove bottom of " + length_text(ring.groove_bottom_mm) +
                " must lie between the bore and the outside (" + length_text(D) +
                "). Check the ball diameter or the groove bottom.");
    require(ring.groove_radius_mm >= 0.5 * ring.ball_mm && ring.groove_radius_mm <= 0.75 * ring.ball_mm,
            "The groove radius of " + length_text(ring.groove_radius_mm) + " doesn't fit a ball of " +
                length_text(ring.ball_mm) + ": it must be 0.5 to 0.75 of the ball. Leave it out to use 0.53.");

    const double factor = known ? known->shoulder_factor : 0.38;
    ring.shoulder_mm = measured.shoulder_mm.value_or(ring.groove_bottom_mm - factor * ring.ball_mm);
    const double depth = (ring.groove_bottom_mm - ring.shoulder_mm) / 2;
    require(depth > 0 && depth < ring.groove_radius_mm,
            "The shoulder diameter of " + length_text(ring.shoulder_mm) + " must be smaller than the groove bottom (" +
                length_text(ring.groove_bottom_mm) + "), by less than a ball. Measure the shoulder again.");
    ring.groove_half_width_mm = std::sqrt(depth * (2 * ring.groove_radius_mm - depth));
    const double land_mm = size.B_mm / 2 - ring.groove_half_width_mm;
    require(land_mm > 0.02 * size.B_mm,
            "The groove is wider than the ring: " + length_text(2 * ring.groove_half_width_mm) + " in a width of " +
                length_text(size.B_mm) + ". Check the ball diameter, the shoulder diameter and the width.");

    ring.chamfer_mm = measured.chamfer_mm.value_or(known ? known->chamfer_mm : 0.07 * size.B_mm);
    require(ring.chamfer_mm > 0 && ring.chamfer_mm < 0.3 * size.B_mm,
            "The chamfer of " + length_text(ring.chamfer_mm) + " must be between 0 and 0.3 of the width (" +
                length_text(size.B_mm) + ").");

    ring.recess_mm = ring.shoulder_mm;
    ring.recess_depth_mm = 0;
    if (ring.sealed || measured.recess_mm) {
        const double by_rule = known && known->recess_mm > 0 ? known->recess_mm : D - 0.216 * (D - size.d_mm);
        // A rule must not make an impossible ring: the recess stays above the shoulder and below the chamfer.
        const double most = D - 2 * ring.chamfer_mm - 0.05 * (D - ring.shoulder_mm);
        ring.recess_mm = measured.recess_mm.value_or(std::clamp(by_rule, ring.shoulder_mm, most));
        ring.recess_depth_mm = measured.recess_depth_mm.value_or(0.65 * land_mm);
        require(ring.recess_mm >= ring.shoulder_mm && ring.recess_mm < D - 2 * ring.chamfer_mm,
                "The recess diameter of " + length_text(ring.recess_mm) + " must lie between the shoulder (" +
                    length_text(ring.shoulder_mm) + ") and the outside less its chamfers (" +
                    length_text(D - 2 * ring.chamfer_mm) + ").");
        require(ring.recess_depth_mm > 0 && ring.recess_depth_mm < 0.98 * land_mm,
                "The recess depth of " + length_text(ring.recess_depth_mm) +
                    " must leave some of the shoulder beside the groove (" + length_text(land_mm) + " wide).");
    }
    require(D - ring.shoulder_mm > 2 * ring.chamfer_mm,
            "The shoulder diameter of " + length_text(ring.shoulder_mm) + " leaves no wall outside it.");
    measure_area(ring);
}

}  // namespace

RingSection ring_section(const BearingSize& size, const RingMeasures& measured) {
    for (const double value : {size.d_mm, size.D_mm, size.B_mm}) {
        require(std::isfinite(value) && value > 0 && value < 1000,
                "A bearing needs its bore d, outside D and width B in mm, each above 0 and below 1000.");
    }
    require(size.D_mm > 1.1 * size.d_mm && size.D_mm < 6 * size.d_mm,
            "The outside D of " + length_text(size.D_mm) + " doesn't fit a ball bearing with a bore d of " +
                length_text(size.d_mm) + ".");
    require(size.B_mm > 0.05 * (size.D_mm - size.d_mm) && size.B_mm < 3 * (size.D_mm - size.d_mm),
            "The width B of " + length_text(size.B_mm) + " doesn't fit a ring of " + length_text(size.d_mm) + " by " +
                length_text(size.D_mm) + ".");

    RingSection ring;
    ring.d_mm = size.d_mm;
    ring.D_mm = size.D_mm;
    ring.B_mm = size.B_mm;
    ring.sealed = size.sealed;
    const KnownRing* known = find_known(size);
    if (measured.ball_mm) {
        ring.ball_mm = *measured.ball_mm;
        ring.ball_source = BallSource::measured;
        ring.ball_rel_u = 0.002;
    } else if (known) {
        ring.ball_mm = known->ball_mm;
        ring.ball_source = BallSource::table;
        ring.ball_rel_u = 0.03;  // makers take the next inch or metric size
    } else {
        ring.ball_mm = ball_by_rule(size);
        ring.ball_source = BallSource::rule;
        ring.ball_rel_u = 0.10;
    }
    require(ring.ball_mm > 0.1 * (size.D_mm - size.d_mm) && ring.ball_mm < 0.45 * (size.D_mm - size.d_mm) &&
                ring.ball_mm < 0.95 * size.B_mm,
            "A ball of " + length_text(ring.ball_mm) + " doesn't fit between " + length_text(size.d_mm) + " and " +
                length_text(size.D_mm) + " in a width of " + length_text(size.B_mm) +
                ". Measure the ball again or leave it out.");
    const double pitch_mm = (size.d_mm + size.D_mm) / 2;
    ring.ball_count =
        measured.ball_count.value_or(known ? known->ball_count : count_by_rule(pitch_mm, ring.ball_mm));
    require(
        ring.ball_count >= 3 && ring.ball_count * std::asin(ring.ball_mm / pitch_mm) < std::numbers::pi,
        "There is no room for " + std::to_string(ring.ball_count) + " balls of " + length_text(ring.ball_mm) + ".");
    shape_ring(ring, measured, known);

    // The doubt in the ball carries to the section; what was measured stays. A recess or chamfer by the rule is off by
    // about a tenth, which moves the equal-area bore by about 0.01 (D - d) (from the spread of catalogue values).
    RingSection smaller = ring;
    smaller.ball_mm = ring.ball_mm * (1 - 0.02);
    RingMeasures held = measured;
    held.recess_mm =
        ring.recess_depth_mm > 0 ? std::optional(std::max(ring.recess_mm, ring.shoulder_mm)) : std::nullopt;
    held.recess_depth_mm = ring.recess_depth_mm > 0 ? std::optional(ring.recess_depth_mm) : std::nullopt;
    held.chamfer_mm = ring.chamfer_mm;
    shape_ring(smaller, held, known);
    const double per_ball = (ring.equal_area_bore_mm - smaller.equal_area_bore_mm) / 0.02;
    const bool section_measured = measured.shoulder_mm && (!size.sealed || measured.recess_mm);
    const double other_mm =
        section_measured ? 0.002 * (size.D_mm - size.d_mm) : 0.01 * (size.D_mm - size.d_mm);
    ring.equal_area_bore_u_mm = std::hypot(per_ball * ring.ball_rel_u, other_mm);
    return ring;
}

RingSection plain_ring(double bore_mm, double D_mm, double B_mm) {
    require(bore_mm > 0 && D_mm > bore_mm && B_mm > 0,
            "A plain ring needs 0 < bore < D and a width above 0.");
    RingSection ring;
    ring.d_mm = ring.groove_bottom_mm = ring.shoulder_mm = ring.recess_mm = ring.equal_area_bore_mm = bore_mm;
    ring.D_mm = D_mm;
    ring.B_mm = B_mm;
    ring.sealed = false;
    ring.area_mm2 = 0.5 * (D_mm - bore_mm) * B_mm;
    ring.ball_source = BallSource::measured;
    return ring;
}

}  // namespace halfturn::fit
