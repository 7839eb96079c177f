// The seat's grip along its depth, read back from curves that plain formulas made.
#include <catch2/catch.hpp>

#include "review/seat_profile.hpp"
#include "review/synthetic.hpp"

using namespace halfturn;
using namespace halfturn::review;
using namespace halfturn::test;

namespace {

SeatProfile profile_of(const SyntheticSeat& seat) {
    const SyntheticPull pulled = pull(seat);
    return seat_profile(synthetic_slide(seat, pulled), synthetic_set_up(seat), synthetic_trace(seat, pulled));
}

}  // namespace

TEST_CASE("an even seat reads even") {
    for (unsigned seed = 1; seed <= 20; ++seed) {
        SyntheticSeat seat;
        seat.seed = seed;
        const SeatProfile p = profile_of(seat);
        INFO("seed " << seed << ": " << p.says << " misfit " << p.misfit << " resolved " << p.resolved_mm);
        REQUIRE(p.known);
        CHECK(p.shape == SeatShape::even);
    }
}

TEST_CASE("each shape is named, with its size and place, either way round") {
    struct Case {
        const char* name;
        std::function<double(double)> grip;
        SeatShape shape;
        double size, margin;
    };
    const Case cases[] = {
        {"tighter inside", [](double z) { return 1 + 0.8 * (z - 0.5); }, SeatShape::tapered, 0.8, 0.2},
        {"tighter at the mouth", [](double z) { return 1 - 0.8 * (z - 0.5); }, SeatShape::tapered, -0.8, 0.2},
        {"bell mouth", [](double z) { return z < 0.3 ? 0.15 + 0.85 * z / 0.3 : 1.0; },
         SeatShape::bell_mouthed, 0.85, 0.35},
        {"worn band", [](double z) { return z > 0.4 && z < 0.65 ? 0.35 : 1.0; }, SeatShape::worn_band, 0.65,
         0.3},
        {"burr", [](double z) { return z > 0.5 && z < 0.6 ? 2.6 : 1.0; }, SeatShape::burr, 1.6, 0.8},
    };
    for (const Case& c : cases) {
        SyntheticSeat seat;
        seat.grip = c.grip;
        const SeatProfile p = profile_of(seat);
        INFO(c.name << ": " << p.says << " strength " << p.strength << " misfit " << p.misfit);
        CHECK(p.shape == c.shape);
        CHECK(p.size == Approx(c.size).margin(c.margin));
    }
}

TEST_CASE("the band holds the true grip, and the mean comes back") {
    std::mt19937 random(4);
    std::uniform_real_distribution<double> draw(-1, 1);
    int held = 0, all = 0;
    for (unsigned seed = 1; seed <= 40; ++seed) {
        SyntheticSeat seat;
        seat.seed = seed;
        const double a = 0.3 * draw(random), b = 0.15 * draw(random), place = draw(random);
        seat.grip = [=](double z) {
            return 1 + a * (2 * z - 1) + b * std::cos(2 * 3.14159265 * (z - place));
        };
        const SeatProfile p = profile_of(seat);
        REQUIRE(p.known);
        const double mean = engaged_mean(seat, 1);
        CHECK(p.mean_N_per_mm == Approx(seat.full_N * mean / seat.length_mm).epsilon(0.04));
        for (const ProfilePoint& point : p.points) {
            const double truth = seat.grip(point.depth_mm / seat.length_mm) / mean;
            held += truth >= point.low && truth <= point.high;
            ++all;
        }
    }
    INFO(held << " of " << all);
    CHECK(held > 0.9 * all);
}

TEST_CASE("pressed in and pulled out of the same seat: alike, or different where it was scraped") {
    SyntheticSeat before, after;
    after.grip = [](double z) { return z > 0.35 && z < 0.7 ? 0.2 : 1.0; };
    const SeatProfile in = profile_of(before), same = profile_of(before), worn = profile_of(after);
    CHECK(compare_profiles(in, same).share == 0);
    const ProfileDifference d = compare_profiles(in, worn);
    CHECK(d.known);
    CHECK(d.largest < 0);
    CHECK(d.at_mm > 2);
    CHECK(d.at_mm < 5);
    CHECK_FALSE(compare_profiles(in, SeatProfile{}).known);
}

TEST_CASE("slower readings resolve less, and say by what") {
    SyntheticSeat fast, slow;
    slow.readings_per_s = 5;
    const SeatProfile a = profile_of(fast), b = profile_of(slow);
    CHECK(b.instruments_mm > 5 * a.instruments_mm);
    CHECK(b.instruments_because == "the rate of the force readings");
    CHECK(a.resolved_mm >= a.instruments_mm);
}
