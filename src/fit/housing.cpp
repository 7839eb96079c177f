#include "fit/housing.hpp"

#include <algorithm>
#include <cmath>

#include "core/failure.hpp"
#include "core/number_text.hpp"

namespace halfturn::fit {
namespace {

constexpr double shoulder_height_mm = 1.25;
constexpr double touching_mm = 1e-6;

std::string mm(double value) { return figures_text(value, 5) + " mm"; }

std::vector<HousingStep> named_steps(HousingShape shape, double outside_mm, const RingSection& ring,
                                     double& before_mm) {
    const double D = ring.D_mm, B = ring.B_mm, behind = 3 * B;
    const double narrow = D - 2 * shoulder_height_mm;
    const double flange = outside_mm + D, thick = 0.5 * B;
    before_mm = 0;
    switch (shape) {
        case HousingShape::flush:
            return {{B, D, outside_mm}};
        case HousingShape::bore_goes_on:
            return {{B + behind, D, outside_mm}};
        case HousingShape::shoulder_behind:
            return {{B, D, outside_mm}, {behind, narrow, outside_mm}};
        case HousingShape::long_tube:
            before_mm = std::max(behind, D);
            return {{B + 2 * before_mm, D, outside_mm}};
        case HousingShape::flange_behind:
            return {{B, D, outside_mm}, {thick, narrow, flange}, {behind - thick, narrow, outside_mm}};
        case HousingShape::flange_over_seat:
            return {{(B - thick) / 2, D, outside_mm},
                    {thick, D, flange},
                    {(B - thick) / 2, D, outside_mm},
                    {behind, narrow, outside_mm}};
        case HousingShape::unknown:
            break;
    }
    throw BadInput(
        "The housing's shape is unknown, so its section can't be drawn. Choose a shape or give its steps.");
}

void check_steps(const HousingSection& section, const RingSection& ring) {
    const double D = ring.D_mm;
    const double ring_from = section.seat_from_mouth_mm, ring_to = ring_from + ring.B_mm;
    double from = 0, touched = 0;
    for (std::size_t i = 0; i < section.steps.size(); ++i) {
        const HousingStep& step = section.steps[i];
        const std::string name = "Housing step " + std::to_string(i + 1);
        for (const double value : {step.length_mm, step.bore_mm, step.outside_mm}) {
            if (!std::isfinite(value) || value < 0 || value > 2000) {
                throw BadInput(name + " needs a length, a bore and an outside in mm, between 0 and 2000.");
            }
        }
        if (step.length_mm < 0.05) {
            throw BadInput(name + " is " + mm(step.length_mm) +
                           " long; leave out steps shorter than 0.05 mm.");
        }
        if (step.outside_mm < step.bore_mm + 0.1) {
            throw BadInput(name + " has no wall: bore " + mm(step.bore_mm) + ", outside " +
                           mm(step.outside_mm) + ". The outside must be larger than the bore.");
        }
        if (i > 0) {
            const HousingStep& last = section.steps[i - 1];
            const double overlap =
                std::min(step.outside_mm, last.outside_mm) - std::max(step.bore_mm, last.bore_mm);
            if (overlap < 0.1) {
                throw BadInput(name + " doesn't touch the step before it: one lies inside the other's bore.");
            }
        }
        const double to = from + step.length_mm;
        const double shared = std::min(to, ring_to) - std::max(from, ring_from);
        if (shared > touching_mm) {
            touched += shared;
            if (std::abs(step.bore_mm - D) > 1e-3) {
                throw BadInput(name + " lies round the ring, so its bore must be the ring's outside, " +
                               mm(D) + ", not " + mm(step.bore_mm) + ". Split the step where the seat ends.");
            }
        }
        from = to;
    }
    if (section.seat_from_mouth_mm < 0 || touched < ring.B_mm - ring.chamfer_mm - touching_mm) {
        throw BadInput(
            "The ring is " + mm(ring.B_mm) + " wide but only " + mm(touched) +
            " of it lies inside the housing steps. Check their lengths and where the seat begins.");
    }
}

}  // namespace

HousingSection housing_section(const Housing& housing, const RingSection& ring) {
    HousingSection section;
    if (!housing.steps.empty()) {
        section.steps = housing.steps;
        section.seat_from_mouth_mm = housing.seat_from_mouth_mm;
        for (HousingStep& step : section.steps) {
            if (std::abs(step.bore_mm - ring.D_mm) <= 1e-3) step.bore_mm = ring.D_mm;
        }
    } else {
        if (!(housing.outside_mm > ring.D_mm + 0.1)) {
            throw BadInput("The housing's outside diameter of " + mm(housing.outside_mm) +
                           " must be larger than the seat's " + mm(ring.D_mm) + ".");
        }
        section.steps = named_steps(housing.shape, housing.outside_mm, ring, section.seat_from_mouth_mm);
    }
    check_steps(section, ring);
    return section;
}

}  // namespace halfturn::fit
