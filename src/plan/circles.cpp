#include "plan/circles.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

namespace halfturn::plan {

namespace {

using std::numbers::pi;

// The part of a circle beyond a chord at this distance from its centre; negative: more than half the circle.
double segment_mm2(double radius, double chord) {
    const double c = std::clamp(chord / radius, -1.0, 1.0);
    return radius * radius * (std::acos(c) - c * std::sqrt(1 - c * c));
}

}  // namespace

double lens_area_mm2(double one, double other, double distance) {
    distance = std::abs(distance);
    if (distance >= one + other) return 0;
    const double least = std::min(one, other);
    if (distance <= std::abs(one - other)) return pi * least * least;
    const double chord = (distance * distance + one * one - other * other) / (2 * distance);
    return segment_mm2(one, chord) + segment_mm2(other, distance - chord);
}

Lune lune(double disc, double hole, double offset) {
    const double whole = pi * disc * disc;
    const double area = whole - lens_area_mm2(disc, hole, offset);
    // Rounding leaves a trace where there is none.
    if (area <= 1e-12 * whole) return {};
    double inside = 0;  // the disc's own segment on the hole's side of the chord
    if (const double far = std::abs(offset); far < disc + hole && far > std::abs(disc - hole))
        inside = segment_mm2(disc, (far * far + disc * disc - hole * hole) / (2 * far));
    return {area, std::abs(offset) * (whole - inside) / area};
}

}  // namespace halfturn::plan
