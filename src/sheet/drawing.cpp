#include "sheet/drawing.hpp"

#include "sheet/document.hpp"

namespace halfturn::sheet {

std::vector<Point> box(Point one, Point other) {
    return {one, {other.x_mm, one.y_mm}, other, {one.x_mm, other.y_mm}};
}

double text_width_mm(Paper paper) { return paper == Paper::a4 ? 178 : 184; }  // A4 210, Letter 215.9, less two margins of 16

}  // namespace halfturn::sheet
