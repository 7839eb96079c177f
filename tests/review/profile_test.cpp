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
        {"bell mouth", [](double z) { return z < 0.3 ? 0.15 + 0.85 * z / 0.3 : 1.0; }, SeatShape::bell_mouthed, 0.85, 0.35},
        {"worn band", [](double z) { return z > 0.4 && z < 0.65 ? 0.35 : 1.0; }, SeatShape::worn_band, 0.65, 0.3},
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
