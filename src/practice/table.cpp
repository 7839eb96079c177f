#include "practice/table.hpp"

#include <algorithm>

namespace halfturn::practice {

double Table::at(double place) const {
    if (points_.empty()) return 0;
    if (place <= points_.front().first) return points_.front().second;
    for (std::size_t i = 1; i < points_.size(); ++i) {
        const auto& [x0, y0] = points_[i - 1];
        const auto& [x1, y1] = points_[i];
        if (place <= x1) return y0 + (y1 - y0) * (place - x0) / (x1 - x0);
    }
    return points_.back().second;
}

double Table::area(double from, double to) const {
    double sum = 0, left = from;
    const auto add_up_to = [&](double right) {
        if (right > left) sum += 0.5 * (at(left) + at(right)) * (right - left), left = right;
    };
    for (const auto& [place, value] : points_) add_up_to(std::min(place, to));
    add_up_to(to);
    return sum;
}

}  // namespace halfturn::practice
