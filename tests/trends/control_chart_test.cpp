// Individuals charts and capability against printed examples, and coverage against simulation.
#include <catch2/catch.hpp>

#include <cmath>
#include <random>

#include "review/control_chart.hpp"

using namespace halfturn::review;

namespace {

std::vector<ChartValue> values_of(std::initializer_list<double> list) {
    std::vector<ChartValue> values;
    for (const double v : list) values.push_back({v});
    return values;
}

}  // namespace

TEST_CASE("NIST e-Handbook 6.3.2.2: flow rates of ten batches") {
    const ControlChart chart = individuals_chart(values_of({49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1}));
    REQUIRE(chart.known);
    CHECK(chart.ranges == 9);
    CHECK(chart.centre == Approx(50.81).epsilon(1e-12));
    CHECK(chart.mean_range == Approx(1.8778).margin(5e-5));
    // Printed with d2 = 1.128: 55.8041 and 45.8159. With the exact one:
    CHECK(chart.high == Approx(55.8024117).margin(1e-6));
    CHECK(chart.low == Approx(2 * 50.81 - 55.8024117).margin(1e-6));
    CHECK(chart.high == Approx(55.8041).epsilon(5e-5));
    CHECK(chart.range_high == Approx(6.1347).epsilon(2e-4));
    CHECK(chart.provisional);
    CHECK(chart.runs.empty());  // the handbook: in order
}

TEST_CASE("moisture of milk powder, ten lots (the individuals example of ISO 8258 and ISO 7870-2, from memory)") {
    const ControlChart chart = individuals_chart(values_of({2.9, 3.2, 3.6, 4.3, 3.8, 3.5, 3.0, 3.1, 3.6, 3.5}));
    CHECK(chart.centre == Approx(3.45));
    CHECK(chart.mean_range == Approx(0.38).margin(0.005));
    CHECK(chart.high == Approx(4.46).margin(0.01));
    CHECK(chart.low == Approx(2.44).margin(0.01));
    CHECK(chart.range_high == Approx(1.24).margin(0.01));
}

TEST_CASE("costs of twenty loans (Montgomery, Introduction to Statistical Quality Control, 6.4, from memory)") {
    const ControlChart chart = individuals_chart(values_of({310, 288, 297, 298, 307, 303, 294, 297, 308, 306,
                                                            294, 299, 297, 299, 314, 295, 293, 306, 301, 304}));
    CHECK(chart.centre == Approx(300.5));
    CHECK(chart.mean_range == Approx(7.79).margin(0.005));
    CHECK(chart.high == Approx(321.22).margin(0.02));
    CHECK(chart.low == Approx(279.78).margin(0.02));
    CHECK(chart.range_high == Approx(25.45).margin(0.02));
    CHECK_FALSE(chart.provisional);
}

TEST_CASE("a moving range never bridges a gap") {
    // A level that jumps at the gap: the jump is in no range, and so not in the limits; it shows beyond them.
    std::vector<ChartValue> values;
    for (int i = 0; i < 24; ++i) values.push_back({(i < 12 ? 10.0 : 40.0) + i % 2});
    const ControlChart bridged = individuals_chart(values);
    CHECK(bridged.mean_range == Approx((22 * 1.0 + 29) / 23));
    values[12].gap_before = true;
    const ControlChart chart = individuals_chart(values);
    CHECK(chart.ranges == 22);
    CHECK_FALSE(chart.moving_range[12]);
    CHECK(chart.mean_range == Approx(1));
    REQUIRE_FALSE(chart.runs.empty());
    CHECK(chart.runs[0].rule == RunRule::beyond_limits);
}

TEST_CASE("a range beyond its limit comes by chance in every 109th job, so it is no signal") {
    std::vector<ChartValue> values;
    for (int i = 0; i < 40; ++i) values.push_back({static_cast<double>(i % 2)});
    const ControlChart chart = individuals_chart(values);
    // The difference of two normal values has sqrt 2 times their deviation.
    CHECK(1 / std::erfc(chart.range_high / chart.sigma / 2) == Approx(109).margin(0.5));
    CHECK(chart.range_high / chart.mean_range == Approx(3.266545).margin(1e-6));  // D4 for two values, ISO 7870-2
    CHECK(chart.sigma * 1.128379 == Approx(chart.mean_range).epsilon(1e-6));      // d2
}

TEST_CASE("too few jobs, or jobs that do not differ, have no limits and no signals") {
    CHECK_FALSE(individuals_chart({}).known);
    CHECK_FALSE(individuals_chart(values_of({1, 2, 3, 4, 5, 6, 7})).known);
    CHECK(individuals_chart(values_of({1, 2, 3, 4, 5, 6, 7, 8})).known);
    const ControlChart same = individuals_chart(std::vector<ChartValue>(30, ChartValue{2.0, false}));
    CHECK_FALSE(same.known);
    CHECK(same.why_not == "all values are the same, so there is nothing to set limits by");
    std::vector<ChartValue> apart(30, ChartValue{0, true});
    CHECK_FALSE(individuals_chart(apart).known);
}

TEST_CASE("limits from a base judge what came later") {
    std::vector<ChartValue> values;
    for (int i = 0; i < 20; ++i) values.push_back({static_cast<double>(i % 2)});
    for (int i = 0; i < 5; ++i) values.push_back({6});
    ChartOptions options;
    options.base = 20;
    const ControlChart chart = individuals_chart(values, options);
    CHECK(chart.base == 20);
    CHECK(chart.ranges == 19);
    CHECK(chart.centre == Approx(0.5));
    REQUIRE(chart.runs.size() == 1);
    CHECK((chart.runs[0].from == 20 && chart.runs[0].to == 24));
}

TEST_CASE("capability: NIST e-Handbook 6.1.6, and printed confidence limits") {
    // Mean 16, s 2, limits 8 and 20: the handbook's example. The three values have just that mean and deviation.
    const auto nist = capability({14, 16, 18}, 8, 20);
    REQUIRE(nist);
    CHECK(nist->sd == Approx(2));
    CHECK(*nist->cp == Approx(1.0));
    CHECK(nist->cpk == Approx(0.6667).margin(5e-5));
    CHECK(capability({14, 16, 18}, 8, std::nullopt)->cpk == Approx(1.3333).margin(5e-5));
    CHECK_FALSE(capability({14, 16, 18}, 8, std::nullopt)->cp);

    // Montgomery, examples 8.4 and 8.5 (from memory): n = 20, s = 1.75, limits 38 and 62, centred: Cp 2.29 (1.57 to 3.01);
    // n = 20, Cpk 1.33 (0.88 to 1.78).
    const auto twenty = [](double mean, double sd) {
        std::vector<double> values;
        const double scale = sd / std::sqrt(20.0 / 19);
        for (int i = 0; i < 20; ++i) values.push_back(mean + (i % 2 ? scale : -scale));
        return values;
    };
    const auto centred = capability(twenty(50, 1.75), 38, 62);
    CHECK(*centred->cp == Approx(2.29).margin(0.005));
    CHECK(*centred->cp_low == Approx(1.57).margin(0.006));  // printed from a rounded chi-squared
    CHECK(*centred->cp_high == Approx(3.01).margin(0.006));
    const auto aside = capability(twenty(0, 1), -100, 3.99);
    CHECK(aside->cpk == Approx(1.33).margin(0.005));
    CHECK(aside->cpk_low == Approx(0.88).margin(0.01));
    CHECK(aside->cpk_high == Approx(1.78).margin(0.01));

    CHECK_FALSE(capability({1, 2}, 0, 3));
    CHECK_FALSE(capability({1, 1, 1}, 0, 3));
    CHECK_FALSE(capability({1, 2, 3}, 3, 0));
    CHECK_FALSE(capability({1, 2, 3}, std::nullopt, std::nullopt));
}

TEST_CASE("capability's confidence limits hold 95 of 100") {
    std::mt19937_64 gen(3);
    std::normal_distribution<double> normal(1, 2);
    int cp_holds = 0, cpk_holds = 0;
    constexpr int rounds = 20000;
    const double low = -6, high = 10, cp = 16.0 / 12, cpk = 7.0 / 6;
    for (int round = 0; round < rounds; ++round) {
        std::vector<double> values;
        for (int i = 0; i < 30; ++i) values.push_back(normal(gen));
        const auto found = capability(values, low, high);
        cp_holds += *found->cp_low <= cp && cp <= *found->cp_high;
        cpk_holds += found->cpk_low <= cpk && cpk <= found->cpk_high;
    }
    CHECK(cp_holds / double{rounds} == Approx(0.95).margin(0.006));
    CHECK(cpk_holds / double{rounds} == Approx(0.95).margin(0.012));
}
