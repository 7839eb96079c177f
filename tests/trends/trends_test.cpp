// Trends over plain jobs: groups, gaps, what is left out, and how it reads.
#include <catch2/catch.hpp>

#include <boost/json.hpp>
#include <cmath>

#include "review/trends.hpp"

using namespace halfturn;
using namespace halfturn::review;

namespace {

constexpr std::int64_t day_ms = 86'400'000, first_ms = 1'700'000'000'000;

// Thirty jobs, one a day; logarithms alternate about 0 by +- 0.1.
std::vector<TrendJob> thirty_jobs() {
    std::vector<TrendJob> jobs;
    for (int i = 0; i < 30; ++i) {
        TrendJob job;
        job.number = i + 1;
        job.job_id = "bench-" + std::to_string(i + 1);
        job.started_utc_ms = first_ms + i * day_ms;
        job.rig = "red press";
        job.family = "61902 in 6061-T6, shoulder-behind shape, N7";
        job.who = i % 3 ? "Ada" : "Ben";
        job.instrument = "value-unit";
        job.calibration = "force-1";
        job.value = std::exp(i % 2 ? 0.1 : -0.1);
        job.expected_low = 0.5;
        job.expected_high = 2.0;
        jobs.push_back(job);
    }
    return jobs;
}

std::size_t gaps_in(const TrendChart& chart) {
    std::size_t count = 0;
    for (const TrendPoint& point : chart.points) count += !point.gap.empty();
    return count;
}

}  // namespace

TEST_CASE("a figure that scatters in proportion is charted in factors") {
    const Trend trend = trend_of(thirty_jobs(), {});
    REQUIRE(trend.charts.size() == 1);
    const TrendChart& one = trend.charts[0];
    CHECK(one.group == "red press");
    REQUIRE(one.chart.known);
    CHECK(one.chart.centre == Approx(1));
    const double sigma = 0.2 / (2 / std::sqrt(3.14159265358979));
    CHECK(one.chart.high == Approx(std::exp(3 * sigma)));
    CHECK(one.chart.low == Approx(std::exp(-3 * sigma)));
    CHECK(one.chart.mean_range == Approx(std::exp(0.2)));
    CHECK_FALSE(one.chart.moving_range[0]);
    CHECK(*one.chart.moving_range[1] == Approx(std::exp(0.2)));
    CHECK(gaps_in(one) == 0);
    REQUIRE(one.capability);
    CHECK(one.limits_expected);
    CHECK(*one.capability->low == 0.5);
    const double sd = 0.1 * std::sqrt(30.0 / 29);
    CHECK(*one.capability->cp == Approx(std::log(4.0) / 6 / sd));
}

TEST_CASE("gaps: calibrated anew, another instrument, another rig, a job left out, a long pause") {
    auto jobs = thirty_jobs();
    for (std::size_t i = 5; i < jobs.size(); ++i) jobs[i].calibration = "force-2";
    for (std::size_t i = 10; i < jobs.size(); ++i) jobs[i].instrument = "value-unit, 2";
    jobs[14].why_not = "set aside by Ada: the cable was loose";
    for (std::size_t i = 20; i < jobs.size(); ++i) jobs[i].started_utc_ms += 40 * day_ms;
    TrendQuestion question;
    question.by = By::family;
    for (std::size_t i = 25; i < jobs.size(); ++i) jobs[i].rig = "blue press";
    std::swap(jobs[3], jobs[28]);  // any order will do
    const Trend trend = trend_of(jobs, question);
    REQUIRE(trend.charts.size() == 1);
    const auto& points = trend.charts[0].points;
    REQUIRE(points.size() == 29);
    CHECK(points[5].gap == "calibrated anew");
    CHECK(points[10].gap == "another instrument");
    CHECK(points[14].number == 16);
    CHECK(points[14].gap == "a job between is left out");
    CHECK(points[19].gap == "a pause of 41 days");
    CHECK(points[24].gap == "another rig");
    CHECK(gaps_in(trend.charts[0]) == 5);
    CHECK(trend.charts[0].chart.ranges == 28 - 5);
    REQUIRE(trend.left_out.size() == 1);
    CHECK(trend.left_out[0].number == 15);
    CHECK_THAT(trend_text(trend), Catch::Contains("job 15: set aside by Ada: the cable was loose") &&
                                      Catch::Contains("before job 6, calibrated anew"));
}

TEST_CASE("by person; a job without the figure is left out and named") {
    auto jobs = thirty_jobs();
    jobs[0].value.reset();
    jobs[0].why_not = "the ring did not break loose";
    jobs[2].value = 0;
    TrendQuestion question;
    question.by = By::who;
    const Trend trend = trend_of(jobs, question);
    REQUIRE(trend.charts.size() == 2);
    CHECK(trend.charts[0].group == "Ada");
    CHECK(trend.charts[0].points.size() == 19);
    CHECK(trend.charts[1].points.size() == 9);
    REQUIRE(trend.left_out.size() == 2);
    CHECK(trend.left_out[0].because == "the ring did not break loose");
    CHECK(trend.left_out[1].because == "its figure is not above zero");
}

TEST_CASE("a shift is found, drawn and told") {
    auto jobs = thirty_jobs();
    for (std::size_t i = 18; i < jobs.size(); ++i) *jobs[i].value *= 1.5;
    TrendQuestion question;
    question.chart.base = 18;
    const Trend trend = trend_of(jobs, question);
    const auto& runs = trend.charts[0].chart.runs;
    REQUIRE_FALSE(runs.empty());
    bool one_side = false;  // job 18 happened to be above already
    for (const Run& run : runs) one_side |= run.rule == RunRule::one_side && run.from == 17 && run.seen == 25 && run.to == 29;
    CHECK(one_side);
    const std::string text = trend_text(trend);
    CHECK_THAT(text, Catch::Contains("# job 18 to 30: a long row on one side of the centre (one-side)") && Catch::Contains(" centre\n") &&
                         Catch::Contains("It means little while the jobs are"));
    std::size_t longest = 0, start = 0;
    for (std::size_t i = 0; i < text.size(); ++i)
        if (text[i] == '\n') longest = std::max(longest, i - start), start = i + 1;
    CHECK(longest <= 84);

    const auto json = boost::json::parse(trend_json(trend));
    CHECK(json.at("charted") == "break-loose");
    CHECK(json.at("by") == "rig");
    const auto& chart = json.at("charts").at(0);
    CHECK(chart.at("points").as_array().size() == 30);
    CHECK(chart.at("points").at(0).at("moving_range").is_null());
    CHECK(chart.at("points").at(20).at("signals").as_array().size() >= 1);
    CHECK(chart.at("limits").at("centre").to_number<double>() == Approx(1));
    bool told = false;
    for (const auto& signal : chart.at("signals").as_array())
        told |= signal.at("rule") == "one-side" && signal.at("from") == 18 && signal.at("seen") == 26 && signal.at("to") == 30;
    CHECK(told);
    CHECK(chart.at("capability").at("in_order") == false);
}

TEST_CASE("few jobs are shown without limits; no jobs say so") {
    auto jobs = thirty_jobs();
    jobs.resize(4);
    std::string text = trend_text(trend_of(jobs, {}));
    CHECK_THAT(text, Catch::Contains("No limits: limits need at least 7 steps between neighbouring jobs; there are"));
    jobs.resize(1);
    text = trend_text(trend_of(jobs, {}));
    CHECK_THAT(text, Catch::Contains("job 1: 0.905"));
    CHECK_THAT(trend_text(trend_of({}, {})), Catch::Contains("No job has this figure"));
    CHECK(boost::json::parse(trend_json(trend_of({}, {}))).at("charts").as_array().empty());
}

TEST_CASE("names and reasons act on no terminal") {
    auto jobs = thirty_jobs();
    for (TrendJob& job : jobs) job.rig = "red\x1b[31m\npress";
    jobs[4].why_not = "set aside by A\x07" "da";
    const std::string text = trend_text(trend_of(jobs, {}));
    CHECK(text.find('\x1b') == std::string::npos);
    CHECK(text.find('\x07') == std::string::npos);
    CHECK_THAT(text, Catch::Contains("red [31m press: 29 jobs") && Catch::Contains("set aside by A da"));
}

TEST_CASE("every figure has an id, and stands where its number says") {
    for (const ChartedInfo& info : all_charted()) CHECK(charted_info(info.charted).id == info.id);
    for (const By by : {By::rig, By::family, By::who, By::instrument, By::calibration}) CHECK(by_from_id(by_id(by)) == by);
    CHECK_FALSE(by_from_id("weather"));
}
