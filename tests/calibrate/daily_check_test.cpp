// The morning check: the published chart example, and faults made on purpose.
#include "calibrate/daily_check.hpp"

#include <catch2/catch.hpp>

#include "calibrate/csv_readings.hpp"
#include "core/failure.hpp"

using namespace halfturn;
using namespace halfturn::calibrate;
using Catch::Matchers::Contains;

namespace {

std::string said(const DailyResult& result) {
    std::string all;
    for (const auto& line : result.advice) all += line + "\n";
    return all;
}

}  // namespace

TEST_CASE("the individuals chart of the NIST/SEMATECH e-Handbook, 6.3.2.2") {
    const auto chart = individuals_chart({49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1});
    CHECK(chart.mean == Approx(50.81).epsilon(1e-12));
    CHECK(chart.mean_range == Approx(1.8778).margin(5e-5));
    CHECK(chart.high == Approx(55.8024117).epsilon(1e-7));  // printed 55.8041 with d2 rounded to 1.128
    CHECK(chart.low == Approx(2 * 50.81 - 55.8024117).epsilon(1e-7));
    CHECK(chart.range_high == Approx(6.1347).margin(2e-3));
    CHECK_THROWS_AS(individuals_chart({1}), BadInput);
}

TEST_CASE("a good morning passes and says nothing") {
    const auto result =
        check_day({{"zero", 8421, 50, {8425, 8419, 8423}}, {"block", 10, 0.02, {10.0, 10.01, 10.0}}}, true);
    CHECK(result.passed);
    CHECK(result.advice.empty());
    CHECK(result.findings[0].deviation == 2);
    CHECK_FALSE(result.findings[0].chart);
}

TEST_CASE("faults are told apart") {
    const DailyItem good_gain{"gain", 1, 0.005, {1.001}};
    CHECK_THAT(said(check_day({{"zero", 8421, 50, {9100}}}, true)), Contains("overloaded"));
    CHECK_THAT(said(check_day({{"zero", 8421, 50, {8421}}}, false)), Contains("serial"));
    CHECK_FALSE(check_day({{"zero", 8421, 50, {8421}}}, false).passed);
    CHECK_THAT(said(check_day({good_gain, {"stiffness", 20000, 1000, {17000}}}, {})),
               Contains("softer") && Contains("gain is right"));
    CHECK_THAT(said(check_day({{"stiffness", 20000, 1000, {22000}}}, {})),
               Contains("stiffer") && Contains("force or the parts"));
    const auto both = check_day({{"gain", 1, 0.005, {1.05}}, {"stiffness", 20000, 900, {21000}}}, {});
    CHECK_FALSE(both.passed);
    CHECK_THAT(said(both), Contains("gain is off") && Contains("as a wrong gain makes it"));
    CHECK_FALSE(check_day({{"block", 10, 0.02, {10.03}}}, {}).passed);
}

TEST_CASE("the chart and the run of eight only warn") {
    const std::vector<double> calm{10, 11, 10, 9, 10, 11, 10, 9, 10};
    auto jumped = calm;
    jumped.push_back(25);
    const auto jump = check_day({{"zero", 10, 100, jumped}}, {});
    CHECK(jump.passed);
    CHECK(jump.findings[0].outside_chart);
    CHECK_THAT(said(jump), Contains("unlike the days before"));
    const auto drift = check_day({{"zero", 10, 100, {11, 12, 11, 13, 12, 13, 14, 13}}}, {});
    CHECK(drift.passed);
    CHECK(drift.findings[0].drifting);
    CHECK_THAT(said(drift), Contains("drifting"));
    CHECK_FALSE(check_day({{"zero", 10, 100, {11, 12, 11, 13, 12, 13, 14}}}, {}).findings[0].drifting);
}

TEST_CASE("a daily log is read strictly") {
    const std::string notes = "# zero = 100\n# zero_limit = 5\n# serial = A17\n";
    const auto log = read_daily_log(
        CsvReadings::from_text(notes + "date,zero,serial\n2024-05-01,101,A17\n2024-05-02,99,B2\n", "d.csv"));
    REQUIRE(log.items.size() == 1);
    CHECK(log.items[0].readings == std::vector<double>{101, 99});
    CHECK(log.serial_matches.value() == false);
    CHECK_THROWS_WITH(read_daily_log(CsvReadings::from_text("# zero = 100\nzero\n1\n", "d.csv")),
                      Contains("zero_limit"));
    CHECK_THROWS_WITH(read_daily_log(CsvReadings::from_text("date\n1\n", "d.csv")),
                      Contains("none of the columns"));
    CHECK_THROWS_WITH(read_daily_log(CsvReadings::from_text(notes + "zero\n\n1\n,\n", "d.csv")),
                      Contains("d.csv:7"));
}
