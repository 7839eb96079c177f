// Force against turns as the page draws it: at most a fixed number of points however long the job, each the lowest and
// highest force within its span of time. No reading's peak is lost; only its place inside the span is.
//   CurvePoints points;  points.add(t_s, turns, force_N);  points.json(set_up);
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "core/set_up.hpp"

namespace halfturn::screen {

class CurvePoints {
public:
    static constexpr std::size_t most_points = 1200;

    void add(double t_s, std::optional<double> turns_from_contact, double force_N);
    // {"expected":[[turns,low,mid,high],…],"points":[[t_s,turns|null,low_N,high_N],…],"limit_N":…}
    std::string json(const SetUp& set_up) const;

    struct Point {
        double t_s, low_N, high_N;
        std::optional<double> turns;   // at the span's first reading
    };
    const std::vector<Point>& points() const { return points_; }

private:
    void halve();
    std::vector<Point> points_;
    double span_s_ = 0.02;
};

}  // namespace halfturn::screen
