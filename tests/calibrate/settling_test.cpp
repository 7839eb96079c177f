// What an instrument is worth, against readings made up with known rate, noise, least count and step.
#include <catch2/catch.hpp>

#include <cmath>
#include <random>

#include "calibrate/settling.hpp"
#include "core/failure.hpp"

using namespace halfturn;
using namespace halfturn::calibrate;

namespace {

// Readings of `level(t)` every `gap_s`, with normal noise, rounded to `step` hundredths.
template <class Level>
std::vector<TimedValue> readings(int count, double gap_s, double noise, std::int64_t step, Level level) {
    std::mt19937 random(7);
    std::normal_distribution<double> normal(0, 1);
    std::vector<TimedValue> out;
    for (int i = 0; i < count; ++i) {
        const double value = level(i * gap_s) + (noise > 0 ? noise * normal(random) : 0);
        out.push_back({i * gap_s, normalised(std::llround(value * 100 / static_cast<double>(step)) * step, -2)});
    }
    return out;
}

}  // namespace

TEST_CASE("at rest: rate, noise, least count") {
    const auto s = settle(readings(400, 0.0125, 0.4, 5, [](double) { return 812.5; }));
    CHECK(s.readings_per_s == Approx(80));
    CHECK(s.longest_gap_s == Approx(0.0125));
    CHECK(s.noise_sd == Approx(0.4).epsilon(0.1));
    REQUIRE(s.least_count);
    CHECK(to_text(*s.least_count) == "0.05");
    CHECK_FALSE(s.step);
    CHECK(std::fabs(s.drift_per_s) < 0.1);
}

TEST_CASE("one quick step: the rise of the instrument's own filter; noise without the step") {
    // A first-order filter of 50 ms: 10 to 90 % takes 2.197 time constants (ln 9).
    const auto s = settle(
        readings(400, 0.0125, 0.4, 5, [](double t) { return t < 2.5 ? 10 : 10 + 500 * (1 - std::exp(-(t - 2.5) / 0.05)); }));
    REQUIRE(s.step);
    CHECK(s.step->t90_s - s.step->t10_s == Approx(0.05 * std::log(9.0)).epsilon(0.06));
    CHECK(s.noise_sd == Approx(0.4).epsilon(0.15));
}

TEST_CASE("drift, a lost reading, a value that never changes, too few") {
    CHECK(settle(readings(100, 0.1, 0, 1, [](double t) { return 3 * t; })).drift_per_s == Approx(3).epsilon(0.001));
    auto gap = readings(100, 0.1, 0.5, 1, [](double) { return 5; });
    gap.erase(gap.begin() + 50, gap.begin() + 60);
    CHECK(settle(gap).longest_gap_s == Approx(1.1));
    CHECK(settle(gap).readings_per_s == Approx(89 / 9.9));
    CHECK_FALSE(settle(readings(10, 0.1, 0, 1, [](double) { return 5; })).least_count);
    CHECK_THROWS_AS(settle({{0, {1, 0}}, {0.1, {1, 0}}}), BadInput);
    CHECK(is_slow_bridge_rate(10.4));
    CHECK_FALSE(is_slow_bridge_rate(80));
    // Decimals of different length and far apart.
    CHECK(to_text(*settle({{0, {12, -1}}, {1, {15, -2}}, {2, {3, 0}}}).least_count) == "0.15");
}
