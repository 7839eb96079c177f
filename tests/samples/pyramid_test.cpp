// A pyramid shows what the samples show: no peak lost, nothing far from its place.
#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <random>

#include "samples/columns.hpp"
#include "samples/pyramid.hpp"

using namespace halfturn;
using namespace halfturn::samples;

namespace {

struct Point {
    Instant at_ns;
    double value;
};

std::vector<Point> noisy_hour(std::size_t count, std::uint64_t seed) {
    std::mt19937_64 random(seed);
    std::normal_distribution<double> noise(0, 3);
    std::vector<Point> points;
    Instant at = 1'000'000'007;
    for (std::size_t i = 0; i < count; ++i) {
        at += 900'000 + static_cast<Instant>(random() % 200'000);
        if (i == count / 2) at += 60 * nanoseconds_per_second;  // a pause
        points.push_back({at, 1000 * std::sin(static_cast<double>(i) / 4000) + noise(random) + (random() % 9973 == 0 ? 500 : 0)});
    }
    return points;
}

std::vector<Page> pyramid_of(const std::vector<Point>& points) {
    std::vector<Page> pages;
    const Ground ground = ground_for(points.front().at_ns, points.back().at_ns, static_cast<std::int64_t>(points.size()));
    PyramidBuilder builder(ground, [&](const Page& page) { pages.push_back(page); });
    for (const Point& p : points) builder.add(p.at_ns, p.value);
    builder.end();
    return pages;
}

}  // namespace

TEST_CASE("a bucket holds every value of its span, and reaches no farther than a rounding") {
    const auto points = noisy_hour(100'000, 5);
    const auto pages = pyramid_of(points);
    int levels = 0;
    std::vector<std::size_t> seen(10, 0);
    for (const Page& page : pages) {
        levels = std::max(levels, page.level + 1);
        const PageView view{page.first_ns, page.width_ns, page.base, page.step, page.packed};
        REQUIRE(view.whole());
        view.for_each([&](Instant first_ns, double low, double high) {
            const auto before = [](const Point& p, Instant at) { return p.at_ns < at; };
            const auto from = std::lower_bound(points.begin(), points.end(), first_ns, before);
            const auto to = std::lower_bound(points.begin(), points.end(), first_ns + page.width_ns, before);
            REQUIRE(from != to);
            const auto [least, most] = std::minmax_element(from, to, [](const Point& a, const Point& b) { return a.value < b.value; });
            REQUIRE(low <= least->value);
            REQUIRE(high >= most->value);
            REQUIRE(low > least->value - 1.001 * page.step);
            REQUIRE(high < most->value + 1.001 * page.step);
            seen[static_cast<std::size_t>(page.level)] += static_cast<std::size_t>(to - from);
        }, page.first_ns, page.first_ns + buckets_a_page * page.width_ns);
    }
    CHECK(levels == 3);
    for (int level = 0; level < levels; ++level) CHECK(seen[static_cast<std::size_t>(level)] == points.size());
}

TEST_CASE("a channel that hardly moves, or not at all, has a pyramid too") {
    for (const double step : {0.0, 1e-300, 1e-9, 1e300}) {
        std::vector<Point> points;
        for (int i = 0; i < 20'000; ++i) points.push_back({i * Instant{1'000'000}, i % 7 * step - 1});
        const auto pages = pyramid_of(points);
        REQUIRE_FALSE(pages.empty());
        double lowest = INFINITY, highest = -INFINITY;
        for (const Page& page : pages)
            PageView{page.first_ns, page.width_ns, page.base, page.step, page.packed}.for_each(
                [&](Instant, double low, double high) {
                    lowest = std::min(lowest, low);
                    highest = std::max(highest, high);
                }, 0, points.back().at_ns + 1);
        CHECK(lowest == -1);
        CHECK(highest >= 6 * step - 1);
        CHECK(highest <= 6.001 * step - 1);
    }
}

TEST_CASE("a short channel has none, and damaged pages are refused") {
    CHECK(ground_for(0, 1'000'000, fewest_for_pyramid - 1).levels == 0);
    CHECK(ground_for(5, 5, 1'000'000).levels == 0);
    CHECK_FALSE(PageView{0, 0, 0, 1, "abcd"}.whole());
    CHECK_FALSE(PageView{0, 1, 0, 1, "abc"}.whole());
    const std::string long_page(4 * buckets_a_page + 4, 'x');
    CHECK_FALSE(PageView{0, 1, 0, 1, long_page}.whole());
}

TEST_CASE("values that are not finite are left out") {
    std::vector<Point> points;
    for (int i = 0; i < 20'000; ++i) points.push_back({i * Instant{1'000'000}, i % 5 == 0 ? NAN : i % 5 == 1 ? INFINITY : 3.0});
    for (const Page& page : pyramid_of(points))
        PageView{page.first_ns, page.width_ns, page.base, page.step, page.packed}.for_each(
            [&](Instant, double low, double high) {
                CHECK(low == 3);
                CHECK(high == 3);
            }, 0, points.back().at_ns + 1);
}
