#include "plan/section_view.hpp"

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>

namespace halfturn::plan {

using namespace sheet;

namespace {

// Neighbours differ in the hatching's direction or distance.
Hatch hatch_of(const std::string& id) {
    if (id == "housing") return {45, 2.2};
    if (id == "bearing") return {-45, 1.0};
    if (id == "far-bearing") return {-45, 1.0};
    if (id == "drift") return {45, 1.3};
    if (id == "plug") return {-45, 1.7};
    if (id == "spacer") return {-45, 2.4};
    if (id == "support") return {-45, 1.8};
    if (id == "plate") return {45, 1.2};
    if (id == "load-cell") return {-45, 1.2};
    return {};
}

}  // namespace

void SectionView::band(const StackPart& part, double low, double high) const {
    if (high - low < 1e-9) return;
    shapes_.push_back({Area{box(at(part.from_mm, high), at(part.to_mm, low)), {}, part.moves ? moving_grey : -1, hatch_of(part.id),
                            part.given ? Line::thick : Line::neighbour, part.id}});
}

void SectionView::cut(const StackPart& part) const {
    band(part, part.aside_mm + part.inner_mm, part.aside_mm + part.outer_mm);
    band(part, part.aside_mm - part.outer_mm, part.aside_mm - part.inner_mm);
}

void SectionView::cut_round_screw(const StackPart& part) const {
    band(part, part.inner_mm, part.aside_mm + part.outer_mm);
    band(part, part.aside_mm - part.outer_mm, -part.inner_mm);
}

void SectionView::housing(const std::vector<StackPart>& steps) const {
    for (const double side : {1.0, -1.0}) {
        std::vector<Point> outline;
        for (const StackPart& step : steps)
            for (const double x : {step.from_mm, step.to_mm}) outline.push_back(at(x, side * step.inner_mm));
        for (auto step = steps.rbegin(); step != steps.rend(); ++step)
            for (const double x : {step->to_mm, step->from_mm}) outline.push_back(at(x, side * step->outer_mm));
        shapes_.push_back({Area{
            std::move(outline), {}, -1, hatch_of("housing"), steps.front().given ? Line::thick : Line::neighbour, "housing"}});
    }
}

void SectionView::bearing(const StackPart& part, const fit::RingSection& ring, double inner_shoulder_mm) const {
    for (const double side : {1.0, -1.0}) {
        one_ring(part, ring, side, ring.shoulder_mm / 2, ring.D_mm / 2, ring.groove_bottom_mm / 2);
        const double inner_groove = (ring.d_mm + ring.D_mm) / 4 - ring.ball_mm / 2;
        one_ring(part, ring, side, inner_shoulder_mm / 2, ring.d_mm / 2, inner_groove);
        const double pitch = (ring.d_mm + ring.D_mm) / 4, middle = (part.from_mm + part.to_mm) / 2;
        shapes_.push_back({Disc{at(middle, side * pitch), scale_ * ring.ball_mm / 2, 1, Line::thick}});
        if (!ring.sealed) continue;
        const double inset = 0.09 * (part.to_mm - part.from_mm);
        for (const double x : {part.from_mm + inset, part.to_mm - inset})
            shapes_.push_back({Path{{at(x, side * inner_shoulder_mm / 2), at(x, side * ring.shoulder_mm / 2)}, Line::thin}});
    }
}

// Half a section: from its land, with the ball's groove in it, to the seat.
void SectionView::one_ring(const StackPart& part, const fit::RingSection& ring, double side, double land, double seat,
                           double groove_bottom) const {
    const double middle = (part.from_mm + part.to_mm) / 2, depth = std::abs(groove_bottom - land), r = ring.ball_mm / 2;
    const double half = std::min(std::sqrt(std::max(0.0, depth * (2 * r - depth))), 0.45 * (part.to_mm - part.from_mm));
    const double c = std::min(ring.chamfer_mm, 0.3 * std::abs(seat - land)), towards = land > seat ? 1 : -1;  // from the seat to the land
    std::vector<Point> outline = {at(part.from_mm, side * land)};
    const double centre = groove_bottom + towards * r;
    for (int i = 0; i <= 12; ++i) {
        const double x = -half + 2 * half * i / 12;
        outline.push_back(at(middle + x, side * (centre - towards * std::sqrt(std::max(0.0, r * r - x * x)))));
    }
    outline.push_back(at(part.to_mm, side * land));
    outline.push_back(at(part.to_mm, side * (seat + towards * c)));
    outline.push_back(at(part.to_mm - c, side * seat));
    outline.push_back(at(part.from_mm + c, side * seat));
    outline.push_back(at(part.from_mm, side * (seat + towards * c)));
    shapes_.push_back({Area{std::move(outline), {}, part.moves ? moving_grey : -1, hatch_of(part.id), Line::thick, part.id}});
}

}  // namespace halfturn::plan
