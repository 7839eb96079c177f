// Parts of a press in section, on paper: x along the screw, y upwards from its axis, both in mm of the part.
#pragma once

#include <vector>

#include "fit/ring_section.hpp"
#include "plan/stack.hpp"
#include "sheet/drawing.hpp"

namespace halfturn::plan {

constexpr double moving_grey = 0.87;  // how parts that move with the screw are filled

class SectionView {
public:
    // Adds to `shapes`, which must outlive it. scale: mm of paper to a mm of the part; origin: where x = y = 0 lies on the paper.
    SectionView(std::vector<sheet::Shape>& shapes, double scale, sheet::Point origin) : shapes_(shapes), scale_(scale), origin_(origin) {}

    sheet::Point at(double x, double y) const { return {origin_.x_mm + scale_ * x, origin_.y_mm - scale_ * y}; }
    std::vector<sheet::Shape>& shapes() const { return shapes_; }

    // A ring or disc on its axis, cut: the band above and the band below its hole.
    void cut(const StackPart& part) const;
    // The drift's hole stays on the screw's axis when its disc stands aside.
    void cut_round_screw(const StackPart& part) const;
    // The housing's steps, from one end to the other, are one body.
    void housing(const std::vector<StackPart>& steps) const;
    void bearing(const StackPart& part, const fit::RingSection& ring, double inner_shoulder_mm) const;

private:
    void band(const StackPart& part, double low, double high) const;
    void one_ring(const StackPart& part, const fit::RingSection& ring, double side, double land, double seat, double groove_bottom) const;

    std::vector<sheet::Shape>& shapes_;
    double scale_;
    sheet::Point origin_;
};

}  // namespace halfturn::plan
