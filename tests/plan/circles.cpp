// Lens and lune against closed forms and against polygons cut by Boost.Geometry.
#include <boost/geometry.hpp>
#include <boost/geometry/geometries/point_xy.hpp>
#include <boost/geometry/geometries/polygon.hpp>
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>

#include "plan/circles.hpp"

using namespace halfturn::plan;
using std::numbers::pi;

namespace {

namespace bg = boost::geometry;
using Point = bg::model::d2::point_xy<double>;
using Polygon = bg::model::polygon<Point>;

// A polygon of the circle's own area, so that what is left of the difference is its shape: 2e-6 of the area.
Polygon circle(double radius, double centre) {
    constexpr int corners = 4096;
    Polygon polygon;
    const double r = radius * std::sqrt(2 * pi / corners / std::sin(2 * pi / corners));
    for (int i = 0; i <= corners; ++i) {
        const double a = -2 * pi * (i % corners) / corners;
        bg::append(polygon.outer(), Point(centre + r * std::cos(a), r * std::sin(a)));
    }
    return polygon;
}

}  // namespace

TEST_CASE("lens areas with a closed form") {
    CHECK(lens_area_mm2(1, 1, 1) == Approx(2 * pi / 3 - std::sqrt(3) / 2).epsilon(1e-12));
    CHECK(lens_area_mm2(2, 2, 0) == Approx(4 * pi).epsilon(1e-12));
    CHECK(lens_area_mm2(1, 3, 2) == Approx(pi).epsilon(1e-12));    // touching from inside
    CHECK(lens_area_mm2(1, 3, 1.5) == Approx(pi).epsilon(1e-12));  // inside
    CHECK(lens_area_mm2(1, 3, 4) == 0);                            // touching from outside
    CHECK(lens_area_mm2(1, 3, 9) == 0);
    // Crossing at right angles: d^2 = r^2 + R^2. The two sectors less the kite.
    const double r = 3, R = 4, d = 5;
    CHECK(lens_area_mm2(r, R, d) == Approx(r * r * std::atan(R / r) + R * R * std::atan(r / R) - r * R).epsilon(1e-12));
    CHECK(lens_area_mm2(7.4, 7.8, 1.2) == Approx(lens_area_mm2(7.8, 7.4, -1.2)).epsilon(1e-14));
}

TEST_CASE("a disc apart from the hole keeps its whole area and its own centre") {
    const Lune whole = lune(2, 3, 6);
    CHECK(whole.area_mm2 == Approx(4 * pi));
    CHECK(whole.centre_mm == Approx(6));
    CHECK(lune(2, 3, 0.5).area_mm2 == 0);
    CHECK(lune(2, 3, 1).area_mm2 == 0);
    const Lune ring = lune(3, 2, 0);
    CHECK(ring.area_mm2 == Approx(5 * pi));
    CHECK(ring.centre_mm == 0);
    // A hole wholly inside the disc: the moments of two discs.
    CHECK(lune(3, 1, 1).centre_mm == Approx(9 * 1.0 / 8));
}

TEST_CASE("lunes against Boost.Geometry") {
    struct Case { double disc, hole, offset; };
    const auto c = GENERATE(Case{7.4, 7.8, 1.2}, Case{7.4, 7.8, 0.6}, Case{4.9, 5.3, 1.6}, Case{10, 6, 5}, Case{3, 8, 9},
                            Case{8, 3, 6}, Case{7.4, 7.8, 14});
    bg::model::multi_polygon<Polygon> rest;
    bg::difference(circle(c.disc, c.offset), circle(c.hole, 0), rest);
    Point centre(0, 0);
    bg::centroid(rest, centre);
    const Lune ours = lune(c.disc, c.hole, c.offset);
    CHECK(ours.area_mm2 == Approx(bg::area(rest)).epsilon(1e-4));
    CHECK(ours.centre_mm == Approx(centre.x()).epsilon(1e-4));
}
