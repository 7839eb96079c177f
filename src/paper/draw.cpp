#include "paper/draw.hpp"

#include <cairo.h>

#include <algorithm>
#include <cmath>
#include <numbers>

namespace halfturn::paper {

namespace {

using namespace sheet;
using std::numbers::pi;

constexpr double thick_mm = 0.35, thin_mm = 0.18, flow_mm = 1.0, flow_grey = 0.42;
constexpr double arrow_mm = 2.6, arrow_half_deg = 7.5;  // ISO 129-1: a closed arrow of 15 degrees
constexpr double flow_arrow_mm = 4, flow_arrow_half_deg = 24;
constexpr double overshoot_mm = 1.5;                    // of an extension line, eight times its width
constexpr double over_line_mm = 0.8;                    // between a dimension line and its text
constexpr double capitals_of_em = 0.716;                // height of capitals of this font's size
constexpr double dimension_text_mm = 2.3;

Type drawn_type(double capitals_mm, bool strong = false) { return {capitals_mm / capitals_of_em * 72 / 25.4, strong, 0, Align::left, 1}; }

void set_line(cairo_t* cairo, Line line) {
    static const double dashed[] = {2.2, 0.7}, centre[] = {5, 0.8, 0.3, 0.8}, neighbour[] = {3.4, 0.7, 0.3, 0.7, 0.3, 0.7};
    cairo_set_dash(cairo, nullptr, 0, 0);
    cairo_set_line_cap(cairo, CAIRO_LINE_CAP_BUTT);
    cairo_set_line_join(cairo, CAIRO_LINE_JOIN_MITER);
    const double grey = line == Line::flow ? flow_grey : 0;
    cairo_set_source_rgb(cairo, grey, grey, grey);
    cairo_set_line_width(cairo, line == Line::thick ? thick_mm : line == Line::flow ? flow_mm : thin_mm);
    if (line == Line::dashed) cairo_set_dash(cairo, dashed, 2, 0);
    if (line == Line::centre) cairo_set_dash(cairo, centre, 4, 0);
    if (line == Line::neighbour) cairo_set_dash(cairo, neighbour, 6, 0);
    if (line == Line::flow) cairo_set_line_join(cairo, CAIRO_LINE_JOIN_ROUND);
}

void polygon(cairo_t* cairo, const std::vector<Point>& points) {
    if (points.empty()) return;
    cairo_move_to(cairo, points[0].x_mm, points[0].y_mm);
    for (std::size_t i = 1; i < points.size(); ++i) cairo_line_to(cairo, points[i].x_mm, points[i].y_mm);
    cairo_close_path(cairo);
}

// Hatch lines lie on one grid for the whole sheet, so the same sheet always has the same lines.
void hatch(cairo_t* cairo, const Area& area) {
    const double angle = area.hatch.angle_deg * pi / 180, c = std::cos(angle), s = std::sin(angle), step = area.hatch.spacing_mm;
    double low_u = 1e9, high_u = -1e9, low_v = 1e9, high_v = -1e9;
    for (const Point& p : area.outline) {
        const double u = p.x_mm * c - p.y_mm * s, v = p.x_mm * s + p.y_mm * c;
        low_u = std::min(low_u, u), high_u = std::max(high_u, u), low_v = std::min(low_v, v), high_v = std::max(high_v, v);
    }
    set_line(cairo, Line::thin);
    cairo_set_line_width(cairo, 0.13);
    for (double v = std::ceil(low_v / step) * step; v < high_v; v += step) {
        cairo_move_to(cairo, low_u * c + v * s, -low_u * s + v * c);
        cairo_line_to(cairo, high_u * c + v * s, -high_u * s + v * c);
    }
    cairo_stroke(cairo);
}

void arrow(cairo_t* cairo, Point tip, double towards_rad, double length_mm, double half_deg = arrow_half_deg) {
    const double half = half_deg * pi / 180;
    cairo_set_dash(cairo, nullptr, 0, 0);
    cairo_move_to(cairo, tip.x_mm, tip.y_mm);
    for (const double side : {half, -half})
        cairo_line_to(cairo, tip.x_mm - length_mm / std::cos(half) * std::cos(towards_rad + side),
                      tip.y_mm - length_mm / std::cos(half) * std::sin(towards_rad + side));
    cairo_close_path(cairo);
    cairo_fill(cairo);
}

void words(cairo_t* cairo, Point base, const std::string& text, const Type& type, Align align, bool upright) {
    const Lines lines(text, type, 0);
    const double width = lines.width_mm();
    const double left = align == Align::left ? 0 : align == Align::centre ? -width / 2 : -width;
    cairo_save(cairo);
    cairo_translate(cairo, base.x_mm, base.y_mm);
    if (upright) cairo_rotate(cairo, -pi / 2);
    lines.draw(cairo, left, -lines.baseline_mm(), 0.35);
    cairo_restore(cairo);
}

class Draw {
public:
    explicit Draw(cairo_t* cairo) : cairo_(cairo) {}

    void operator()(const Area& area) const {
        const auto outline = [&] {
            cairo_new_path(cairo_);
            polygon(cairo_, area.outline);
            polygon(cairo_, area.hole);
        };
        cairo_set_fill_rule(cairo_, CAIRO_FILL_RULE_EVEN_ODD);
        if (area.grey >= 0) {
            outline();
            cairo_set_source_rgb(cairo_, area.grey, area.grey, area.grey);
            cairo_fill(cairo_);
        }
        if (area.hatch.spacing_mm > 0) {
            cairo_save(cairo_);
            outline();
            cairo_clip(cairo_);
            hatch(cairo_, area);
            cairo_restore(cairo_);
        }
        if (area.line == Line::none) return;
        outline();
        set_line(cairo_, area.line);
        cairo_stroke(cairo_);
    }

    void operator()(const Disc& disc) const {
        cairo_new_path(cairo_);
        cairo_arc(cairo_, disc.centre.x_mm, disc.centre.y_mm, disc.radius_mm, 0, 2 * pi);
        if (disc.grey >= 0) {
            cairo_set_source_rgb(cairo_, disc.grey, disc.grey, disc.grey);
            cairo_fill_preserve(cairo_);
        }
        set_line(cairo_, disc.line);
        if (disc.line == Line::none) cairo_new_path(cairo_);
        cairo_stroke(cairo_);
    }

    void operator()(const Path& path) const {
        if (path.points.size() < 2) return;
        const bool flow = path.line == Line::flow;
        std::vector<Point> points = path.points;
        const Point tip = points.back(), before = points[points.size() - 2];
        const double towards = std::atan2(tip.y_mm - before.y_mm, tip.x_mm - before.x_mm);
        const double head = flow ? flow_arrow_mm : arrow_mm;
        if (path.arrow) points.back() = {tip.x_mm - 0.8 * head * std::cos(towards), tip.y_mm - 0.8 * head * std::sin(towards)};
        cairo_new_path(cairo_);
        cairo_move_to(cairo_, points[0].x_mm, points[0].y_mm);
        for (std::size_t i = 1; i < points.size(); ++i) {
            if (path.corner_mm > 0 && i + 1 < points.size()) corner(points[i - 1], points[i], points[i + 1], path.corner_mm);
            else line_to(points[i]);
        }
        set_line(cairo_, path.line);
        if (flow) {  // stands out from the hatching under it
            cairo_set_source_rgb(cairo_, 1, 1, 1);
            cairo_set_line_width(cairo_, 2 * flow_mm);
            cairo_stroke_preserve(cairo_);
            set_line(cairo_, path.line);
        }
        cairo_stroke(cairo_);
        if (path.arrow) arrow(cairo_, tip, towards, head, flow ? flow_arrow_half_deg : arrow_half_deg);
    }

    void operator()(const Words& one) const {
        words(cairo_, one.at, one.text, drawn_type(one.size_mm, one.strong), one.align, one.upright);
    }

    void operator()(const Dimension& dimension) const {
        // Drawn lying; an upright one is the same turned about.
        const bool up = dimension.upright;
        const auto at = [&](double along, double across) { return up ? Point{across, along} : Point{along, across}; };
        double one = up ? dimension.from.y_mm : dimension.from.x_mm, other = up ? dimension.to.y_mm : dimension.to.x_mm;
        double one_across = up ? dimension.from.x_mm : dimension.from.y_mm, other_across = up ? dimension.to.x_mm : dimension.to.y_mm;
        if (one > other) std::swap(one, other), std::swap(one_across, other_across);
        const double line = dimension.line_at_mm;
        set_line(cairo_, Line::thin);
        cairo_new_path(cairo_);
        for (const auto& [along, across] : {std::pair(one, one_across), std::pair(other, other_across)}) {
            if (std::abs(across - line) < 0.01) continue;
            const double sign = line > across ? 1 : -1;
            move(at(along, across + sign * 0.8));
            line_to(at(along, line + sign * overshoot_mm));
        }
        const Type type = drawn_type(dimension_text_mm);
        const Lines text(dimension.text, type, 0);
        const double wide = text.width_mm(), room = other - one;
        const bool arrows_fit = room >= 2.6 * arrow_mm, text_fits = room >= wide + 1;
        const double past = arrows_fit ? 0 : 2 * arrow_mm;
        const double text_middle = text_fits ? (one + other) / 2 : up ? one - past - wide / 2 - 1 : other + past + wide / 2 + 1;
        move(at(text_fits || !up ? one - past : text_middle - wide / 2, line));
        line_to(at(text_fits || up ? other + past : text_middle + wide / 2, line));
        cairo_stroke(cairo_);
        const double forward = up ? pi / 2 : 0;
        arrow(cairo_, at(one, line), arrows_fit ? forward + pi : forward, arrow_mm);
        arrow(cairo_, at(other, line), arrows_fit ? forward : forward + pi, arrow_mm);
        words(cairo_, up ? Point{line - over_line_mm, text_middle} : Point{text_middle, line - over_line_mm}, dimension.text,
              type, Align::centre, up);
    }

    void operator()(const Mark& mark) const {
        constexpr double radius = 2.6;
        const double dx = mark.on_part.x_mm - mark.at.x_mm, dy = mark.on_part.y_mm - mark.at.y_mm, length = std::hypot(dx, dy);
        cairo_new_path(cairo_);
        set_line(cairo_, Line::thin);
        if (length > radius) {
            cairo_move_to(cairo_, mark.at.x_mm + dx / length * radius, mark.at.y_mm + dy / length * radius);
            cairo_line_to(cairo_, mark.on_part.x_mm, mark.on_part.y_mm);
            cairo_stroke(cairo_);
            cairo_arc(cairo_, mark.on_part.x_mm, mark.on_part.y_mm, 0.5, 0, 2 * pi);
            cairo_fill(cairo_);
        }
        (*this)(Disc{mark.at, radius, 1, Line::thin});
        words(cairo_, {mark.at.x_mm, mark.at.y_mm + 1.15}, mark.text, drawn_type(2.3, true), Align::centre, false);
    }

    void operator()(const Window& window) const {
        cairo_save(cairo_);
        cairo_new_path(cairo_);
        cairo_rectangle(cairo_, window.from.x_mm, window.from.y_mm, window.to.x_mm - window.from.x_mm, window.to.y_mm - window.from.y_mm);
        cairo_clip(cairo_);
        all(window.shapes);
        cairo_restore(cairo_);
        cairo_new_path(cairo_);
        polygon(cairo_, box(window.from, window.to));
        set_line(cairo_, Line::thin);
        cairo_stroke(cairo_);
    }

    void all(const std::vector<Shape>& shapes) const {
        for (const Shape& shape : shapes) std::visit(*this, shape.is);
    }

private:
    void move(Point p) const { cairo_move_to(cairo_, p.x_mm, p.y_mm); }
    void line_to(Point p) const { cairo_line_to(cairo_, p.x_mm, p.y_mm); }

    void corner(Point before, Point here, Point after, double radius) const {
        const double in = std::hypot(here.x_mm - before.x_mm, here.y_mm - before.y_mm),
                     out = std::hypot(after.x_mm - here.x_mm, after.y_mm - here.y_mm);
        const double r = std::min({radius, in / 2, out / 2});
        if (r <= 0) return line_to(here);
        const Point one{here.x_mm + (before.x_mm - here.x_mm) / in * r, here.y_mm + (before.y_mm - here.y_mm) / in * r};
        const Point two{here.x_mm + (after.x_mm - here.x_mm) / out * r, here.y_mm + (after.y_mm - here.y_mm) / out * r};
        line_to(one);
        cairo_curve_to(cairo_, (one.x_mm + 2 * here.x_mm) / 3, (one.y_mm + 2 * here.y_mm) / 3, (two.x_mm + 2 * here.x_mm) / 3,
                       (two.y_mm + 2 * here.y_mm) / 3, two.x_mm, two.y_mm);
    }

    cairo_t* cairo_;
};

}  // namespace

void draw(cairo_t* cairo, const Drawing& drawing, double x_mm, double y_mm, double scale) {
    cairo_save(cairo);
    cairo_translate(cairo, x_mm, y_mm);
    cairo_scale(cairo, scale, scale);
    Draw(cairo).all(drawing.shapes);
    cairo_restore(cairo);
}

}  // namespace halfturn::paper
