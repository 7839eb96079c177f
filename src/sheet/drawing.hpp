// A drawing as data, in millimetres on paper: areas with hatching, lines of the drafting standard's kinds, dimensions, words.
//   Drawing drawing{120, 80, "stack", {Area{box({10, 10}, {40, 30}), {}, -1, {45, 1.5}, Line::thick}, …}};
//
// Pure: whoever knows the parts says what stands where; src/paper draws it. x runs to the right, y downwards.
// Lines and hatching by ISO 128, dimensions by ISO 129-1, as far as named there.
#pragma once

#include <cstdint>
#include <string>
#include <variant>
#include <vector>

namespace halfturn::sheet {

struct Point {
    double x_mm = 0, y_mm = 0;
};

// ISO 128-2 names them by number: thick and thin continuous (01.2, 01.1), dashed (02.1), long-dashed dotted (04.1) for
// axes, long-dashed double-dotted (05.1) for neighbours and for what is not given. `flow` is ours: wide, grey.
enum class Line : std::uint8_t { none, thick, thin, dashed, centre, neighbour, flow };

struct Hatch {
    double angle_deg = 45;
    double spacing_mm = 0;  // 0: none
};

struct Area {
    std::vector<Point> outline;
    std::vector<Point> hole{};   // empty: none
    double grey = -1;            // 0 black to 1 white; negative: not filled
    Hatch hatch{};
    Line line = Line::thick;
    std::string part{};          // whose it is; not drawn
};

struct Disc {
    Point centre;
    double radius_mm = 0;
    double grey = -1;
    Line line = Line::thick;
};

struct Path {
    std::vector<Point> points;
    Line line = Line::thin;
    bool arrow = false;      // at its last point
    double corner_mm = 0;    // rounds the corners
};

enum class Align : std::uint8_t { left, centre, right };

struct Words {
    Point at;                // of the base line
    std::string text;
    double size_mm = 2.5;    // height of capitals
    Align align = Align::left;
    bool strong = false;
    bool upright = false;    // read from the right
};

// Between two points of the part, along x or (upright) along y; the line stands at this y or x. Text above the line.
struct Dimension {
    Point from, to;
    double line_at_mm = 0;
    bool upright = false;
    std::string text;
};

// An item's number in a circle, with a leader that ends in a dot on the part (ISO 6433).
struct Mark {
    Point on_part, at;
    std::string text;
};

struct Shape;
// Shapes of which only what lies in the box is drawn: a detail.
struct Window {
    Point from, to;
    std::vector<Shape> shapes;
};

struct Shape {
    std::variant<Area, Disc, Path, Words, Dimension, Mark, Window> is;
};

struct Drawing {
    double width_mm = 0, height_mm = 0;
    std::string says;  // the drawing in one sentence, for who can't see it
    std::vector<Shape> shapes;
};

// The four corners of a box.
std::vector<Point> box(Point one, Point other);

}  // namespace halfturn::sheet
