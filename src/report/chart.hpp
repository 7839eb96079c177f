// A chart as a sheet drawing: axes with round ticks, bands, lines, marks. Black and grey only; what differs differs by its
// line, not by its colour.
//   Chart chart({170, 80, {0, 1.2, "turns from contact"}, {0, 900, "force, N"}});
//   chart.band(points);  chart.line(points, Line::thick);  chart.flag(0.12, 812, "break-loose 812 N");  chart.take("…");
#pragma once

#include <string>
#include <vector>

#include "sheet/drawing.hpp"

namespace halfturn::report {

struct Axis {
    double from = 0, to = 1;
    std::string title;
};

// 1, 2 or 5 times a power of ten, so that the axis has about `wanted` steps. Sizes that are no numbers give 1.
double round_step(double size, int wanted);

class Chart {
public:
    struct Size {
        double width_mm = 170, height_mm = 80;
        Axis x, y;
        double flags_mm = 0;  // room above for flags
    };
    explicit Chart(Size size);

    struct At {
        double x = 0, y = 0;
    };
    struct BandAt {
        double x = 0, low = 0, high = 0;
    };
    void band(const std::vector<BandAt>& points);
    // Points that fall on each other on paper are drawn once, their extremes kept.
    void line(const std::vector<At>& points, sheet::Line line);
    void level(double y, const std::string& words);         // a dashed line across
    void flag(At at, const std::string& words);             // a dot on the curve, a thin line up to the words
    void key(sheet::Line line, const std::string& words);   // one sample of each kind, below the axis
    void key_band(const std::string& words);

    sheet::Drawing take(const std::string& says);

private:
    struct Flag {
        At at;
        std::string words;
    };
    sheet::Point place(At at) const;
    void axes();
    void flags();

    Size size_;
    double left_, right_, top_, bottom_;
    double key_x_;
    std::vector<sheet::Shape> inside_, outside_;
    std::vector<Flag> flags_;
};

}  // namespace halfturn::report
