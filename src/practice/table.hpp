// A quantity along a length, given at a few points and straight between them: grip along a seat, drag of galled metal.
//   Table grip({{0, 1.2}, {3.5, 0.9}, {7, 1.2}});  grip.at(1.0);  grip.area(0, 7);
#pragma once

#include <utility>
#include <vector>

namespace halfturn::practice {

class Table {
public:
    Table() = default;
    // Points as {place, value}; places must rise.
    explicit Table(std::vector<std::pair<double, double>> points) : points_(std::move(points)) {}

    bool empty() const { return points_.empty(); }
    // Beyond the ends the end value holds; an empty table is 0 everywhere.
    double at(double place) const;
    // Area under the table between two places, from <= to.
    double area(double from, double to) const;

private:
    std::vector<std::pair<double, double>> points_;
};

// The same on an even grid, for looking up at every step.
class Grid {
public:
    Grid() = default;
    template <class Function>
    Grid(double from, double to, double step, Function value) : from_(from), per_step_(1 / step) {
        values_.clear();
        for (double place = from; place < to + 1.5 * step; place += step) values_.push_back(value(place));
    }
    double at(double place) const {
        const double position = (place - from_) * per_step_;
        if (!(position > 0)) return values_.front();
        const auto cell = static_cast<std::size_t>(position);
        if (cell + 1 >= values_.size()) return values_.back();
        const double share = position - static_cast<double>(cell);
        return values_[cell] + share * (values_[cell + 1] - values_[cell]);
    }

private:
    double from_ = 0, per_step_ = 1;
    std::vector<double> values_{0};
};

}  // namespace halfturn::practice
