// Run rules: each pattern found where it is and nowhere else, and how often chance alone makes one.
#include <catch2/catch.hpp>

#include <cmath>
#include <random>

#include "review/control_chart.hpp"
#include "review/run_rules.hpp"

using namespace halfturn::review;

namespace {

std::vector<Run> runs_of(std::vector<double> values, RunRule rule, std::vector<bool> gaps = {}) {
    gaps.resize(values.size());
    return find_runs(values, gaps, {{rule}});
}

// Mean number of values up to the first signal, on independent standard normal values: the average run length.
double average_run_length(const RunRules& rules, int rounds, unsigned seed) {
    std::mt19937_64 gen(seed);
    std::normal_distribution<double> normal;
    double sum = 0;
    for (int round = 0; round < rounds; ++round) {
        std::vector<double> values;
        for (std::size_t length = 256;; length *= 4) {
            while (values.size() < length) values.push_back(normal(gen));
            const auto runs = find_runs(values, std::vector<bool>(values.size()), rules);
            if (runs.empty()) continue;
            sum += static_cast<double>(runs.front().seen + 1);
            break;
        }
    }
    return sum / rounds;
}

// Run lengths scatter about as much as their mean: 4 standard errors.
Approx within_chance(double published, int rounds) { return Approx(published).epsilon(4 / std::sqrt(rounds)); }

}  // namespace

TEST_CASE("each pattern is found at its place") {
    auto runs = runs_of({0, 0, 3.1, 0, -3.2, -3.3}, RunRule::beyond_limits);
    REQUIRE(runs.size() == 2);
    CHECK((runs[0].from == 2 && runs[0].seen == 2 && runs[0].to == 2));
    CHECK((runs[1].from == 4 && runs[1].to == 5));  // one excursion, told once
    CHECK(runs_of({0, 3.0, -3.0}, RunRule::beyond_limits).empty());

    const std::vector<double> nine(9, 0.2), eight(8, 0.2);
    runs = runs_of(nine, RunRule::one_side);
    REQUIRE(runs.size() == 1);
    CHECK((runs[0].from == 0 && runs[0].seen == 8 && runs[0].to == 8));
    CHECK(runs_of(eight, RunRule::one_side).empty());
    std::vector<double> longer(14, -0.1);
    longer.insert(longer.begin(), 0.5);
    longer.push_back(0.5);
    runs = runs_of(longer, RunRule::one_side);
    REQUIRE(runs.size() == 1);
    CHECK((runs[0].from == 1 && runs[0].seen == 9 && runs[0].to == 14));

    CHECK(runs_of({0.3, 0.1, 0.2, 0.3, 0.4, 0.5}, RunRule::rising_or_falling).empty());
    runs = runs_of({0.3, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.1}, RunRule::rising_or_falling);
    REQUIRE(runs.size() == 1);
    CHECK((runs[0].from == 1 && runs[0].to == 6));
    CHECK(runs_of({6, 5, 4, 3, 2, 1}, RunRule::rising_or_falling).size() == 1);
    CHECK(runs_of({1, 2, 3, 3, 4, 5, 6}, RunRule::rising_or_falling).empty());  // standing still breaks it

    std::vector<double> zigzag;
    for (int i = 0; i < 13; ++i) zigzag.push_back(i % 2 ? 0.5 : -0.5);
    CHECK(runs_of(zigzag, RunRule::alternating).empty());
    zigzag.push_back(1);
    CHECK(runs_of(zigzag, RunRule::alternating).size() == 1);

    CHECK(runs_of({2.1, 0, 2.2}, RunRule::two_of_three).size() == 1);
    CHECK(runs_of({2.1, 0, 0, 2.2}, RunRule::two_of_three).empty());
    CHECK(runs_of({2.1, 0, -2.2}, RunRule::two_of_three).empty());
    runs = runs_of({1.1, 1.2, -0.4, 1.3, 1.4}, RunRule::four_of_five);
    REQUIRE(runs.size() == 1);
    CHECK((runs[0].from == 0 && runs[0].seen == 4));
    CHECK(runs_of({1.1, 1.2, -0.4, -1.3, 1.4}, RunRule::four_of_five).empty());

    CHECK(runs_of(std::vector<double>(14, 0.5), RunRule::hugging).empty());
    CHECK(runs_of(std::vector<double>(15, -0.5), RunRule::hugging).size() == 1);
    CHECK(runs_of({1.5, -1.5, 1.5, -1.5, 1.5, 1.5, 1.5, -1.5}, RunRule::avoiding).size() == 1);
    CHECK(runs_of(std::vector<double>(8, 1.5), RunRule::avoiding).empty());  // that is one side's
}

TEST_CASE("steps across a gap are no steps; levels go on across it") {
    const std::vector<double> rising{-0.3, -0.2, -0.1, 0.1, 0.2, 0.3};
    CHECK(runs_of(rising, RunRule::rising_or_falling).size() == 1);
    CHECK(runs_of(rising, RunRule::rising_or_falling, {false, false, false, true}).empty());
    std::vector<bool> gaps(9);
    gaps[4] = true;
    CHECK(runs_of(std::vector<double>(9, 1), RunRule::one_side, gaps).size() == 1);
}

TEST_CASE("every rule has an id that leads back to it") {
    const auto all = all_rules().rules;
    CHECK(all.size() == 8);
    for (const RunRule rule : all) CHECK(run_rule_from_id(run_rule_id(rule)) == rule);
    CHECK_FALSE(run_rule_from_id("nelson"));
}

TEST_CASE("average run lengths are the published ones") {
    constexpr int rounds = 2000;
    const auto length = [](std::vector<RunRule> rules, std::size_t one_side = 9) {
        return average_run_length({std::move(rules), one_side}, rounds, 7);
    };
    using enum RunRule;
    // 1/P(|z| > 3); a coin's first run of k heads or tails comes after 2^k - 1 throws on average (any textbook on chance).
    CHECK(length({beyond_limits}) == within_chance(370.40, rounds));
    CHECK(length({one_side}, 7) == within_chance(127, rounds));
    CHECK(length({one_side}, 8) == within_chance(255, rounds));
    CHECK(length({one_side}, 9) == within_chance(511, rounds));
    // Champ and Woodall, Exact results for Shewhart control charts with supplementary runs rules, Technometrics 29 (1987),
    // table 1, no shift (from memory, not looked up; the last one is also in NIST e-Handbook 6.3.2).
    CHECK(length({beyond_limits, two_of_three}) == within_chance(225.44, rounds));
    CHECK(length({beyond_limits, four_of_five}) == within_chance(166.05, rounds));
    CHECK(length({beyond_limits, one_side}, 8) == within_chance(152.73, rounds));
    CHECK(length({beyond_limits, two_of_three, four_of_five}) == within_chance(132.89, rounds));
    CHECK(length({beyond_limits, two_of_three, four_of_five, one_side}, 8) == within_chance(91.75, rounds));
}

TEST_CASE("false alarms come as often as the header says") {
    constexpr int rounds = 2000;
    CHECK(average_run_length(usual_rules(), rounds, 11) == within_chance(usual_false_alarm_every, rounds));
    CHECK(average_run_length(all_rules(), rounds, 11) == within_chance(74, rounds));
    using enum RunRule;
    for (const auto& [rule, every] : {std::pair{two_of_three, 510.0}, std::pair{four_of_five, 290.0}, std::pair{rising_or_falling, 415.0},
                                      std::pair{alternating, 580.0}, std::pair{hugging, 980.0}}) {
        INFO(run_rule_id(rule));
        CHECK(average_run_length({{rule}}, rounds, 11) == within_chance(every, rounds));
    }
}

TEST_CASE("with limits from the same jobs a chart of jobs in order seldom shows a signal") {
    std::mt19937_64 gen(5);
    std::normal_distribution<double> normal;
    for (const auto& [jobs, share] : {std::pair{10, 0.02}, std::pair{20, 0.05}, std::pair{50, 0.17}}) {
        constexpr int charts = 4000;
        int with = 0;
        for (int i = 0; i < charts; ++i) {
            std::vector<ChartValue> values;
            for (int j = 0; j < jobs; ++j) values.push_back({normal(gen)});
            with += !individuals_chart(values).runs.empty();
        }
        CHECK(static_cast<double>(with) / charts == Approx(share).margin(0.015));
    }
}
