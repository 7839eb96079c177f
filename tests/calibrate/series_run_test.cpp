// A guided series as a pure machine: what is asked, what is kept, what is not, and the file it makes.
#include <catch2/catch.hpp>
#include <string>

#include "calibrate/csv_readings.hpp"
#include "calibrate/daily_check.hpp"
#include "calibrate/series_run.hpp"
#include "calibrate/stiffness.hpp"

using namespace halfturn::calibrate;
using At = SeriesRun::At;
using Took = SeriesRun::Took;

namespace {

SeriesPlan pull(int points) {
    SeriesPlan plan;
    plan.kind = "stiffness";
    plan.steps = stiffness_steps(4000, points);
    plan.instruments = 2;
    plan.steady_s = 1;
    return plan;
}

// Time goes on while both instruments stand still; says what came of it.
Took stand_still(SeriesRun& run, double& t_s, double travel_mm, double force_N) {
    for (int i = 0; i < 40; ++i) {
        t_s += 0.1;
        run.reading(0, t_s, travel_mm);
        run.reading(1, t_s, force_N);
        if (const Took took = run.take_when_steady(); took != Took::nothing) return took;
    }
    return Took::nothing;
}

std::string file_of(SeriesRun& run) {
    std::string text;
    for (const auto& line : run.take_lines()) text += line + "\n";
    return text;
}

}  // namespace

TEST_CASE("a blocked pull goes step by step and its file says the stiffness") {
    SeriesRun run(pull(5));
    double t_s = 0;
    std::string text;
    while (run.at() != At::over) {
        const bool keep = run.step().keep;
        const double force_N = run.step().target;
        run.hold(t_s, {0.01, 0.5});
        if (!keep) continue;
        REQUIRE(run.at() == At::waiting);
        REQUIRE(stand_still(run, t_s, 1 + force_N / 20000, force_N) == Took::kept);
        text += file_of(run);
    }
    CHECK(run.kept() == 9);
    CHECK(text.substr(0, 18) == "travel_mm,force_N\n");
    const auto result = fit_stiffness(read_blocked_pull(CsvReadings::from_text(text, "pull")));
    CHECK(result.N_per_mm == Approx(20000).epsilon(1e-6));
}

TEST_CASE("nothing is kept that is not steady, or above the limit") {
    SeriesRun run(pull(5));
    run.skip();
    run.skip();
    double t_s = 0;
    REQUIRE(run.step().keep);
    run.hold(t_s, {0.01, 0.5});
    for (int i = 0; i < 60; ++i) {   // one stands, the other runs away
        t_s += 0.1;
        run.reading(0, t_s, 1.0);
        run.reading(1, t_s, 800 + 20 * i);
        REQUIRE(run.take_when_steady() == Took::nothing);
    }
    run.over_limit(true);
    CHECK(stand_still(run, t_s, 1.0, 800) == Took::refused);
    CHECK(run.at() == At::step);
    CHECK(run.kept() == 0);
    CHECK(run.take_lines().empty());
    run.over_limit(false);
    run.hold(t_s, {0.01, 0.5});
    CHECK(stand_still(run, t_s, 1.0, 800) == Took::kept);
    CHECK(file_of(run) == "travel_mm,force_N\n1,800\n");
}

TEST_CASE("a reference that is read by a person is asked for before anything is kept") {
    SeriesPlan plan;
    plan.kind = "force";
    plan.steps = force_steps(1000, 5, 1, false);
    plan.typed_reference = true;
    plan.steady_s = 1;
    plan.notes = "# capacity_N = 1000\n";
    SeriesRun run(plan);
    while (!run.step().keep) run.hold(0, {0.5});
    double t_s = 0;
    run.hold(t_s, {0.5});
    Took took = Took::nothing;
    for (int i = 0; i < 30 && took == Took::nothing; ++i) {
        run.reading(0, t_s += 0.1, 203.5);
        took = run.take_when_steady();
    }
    CHECK(took == Took::read);
    CHECK(run.at() == At::reference);
    CHECK(run.take_lines().empty());
    run.hold(t_s, {0.5});   // pressed too early
    CHECK(run.at() == At::reference);
    run.reference(201);
    CHECK(file_of(run) == "# capacity_N = 1000\n# resolution = 0.5\nindicated,reference_N,direction\n203.5,201,up\n");
    run.reference(202);     // and too late
    CHECK(run.kept() == 1);
    run.end();
    CHECK(run.at() == At::over);
    run.skip();
    CHECK(run.at() == At::over);
}

TEST_CASE("a daily check goes from its steps to today's line in the log") {
    SeriesPlan plan;
    plan.kind = "daily";
    plan.steps = daily_steps(10, 1500);
    plan.instruments = 2;
    plan.steady_s = 1;
    SeriesRun run(plan);
    double t_s = 0;
    std::string text;
    while (run.at() != At::over) {
        const auto step = run.step();
        run.hold(t_s, {0.01, 0.5});
        if (!step.keep) continue;
        const bool pull = step.direction == "pull";
        REQUIRE(stand_still(run, t_s, pull ? 1 + step.target / 19500 : step.direction == "block" ? 10.01 : 0, pull ? step.target : 2) == Took::kept);
        text += file_of(run);
    }
    const DailyReading today = read_daily_series(CsvReadings::from_text(text, "today"));
    CHECK(today.zero_N == Approx(2));
    CHECK(today.block_mm == Approx(10.01));
    CHECK(today.stiffness_N_per_mm == Approx(19500).epsilon(1e-6));
    const std::string log = "# block = 10\n# block_limit = 0.02\n# zero = 0\n# zero_limit = 10\n\nblock, zero\n10.00,1\n";
    const std::string line = daily_line(log, today);
    CHECK(line == "10.01,2");
    const DailyLog with_today = read_daily_log(CsvReadings::from_text(log + line + "\n", "log"));
    CHECK(check_day(with_today.items, with_today.serial_matches).passed);
    CHECK_THROWS_AS(daily_line("zero,gain\n", today), halfturn::BadInput);
    CHECK_THROWS_AS(daily_line("# only = 1\n", today), halfturn::BadInput);
    CHECK_THROWS_AS(daily_line("block\n", DailyReading{}), halfturn::BadInput);
    CHECK_THROWS_AS(read_daily_series(CsvReadings::from_text("travel_mm,force_N,what\n1,300,pull\n", "today")), halfturn::BadInput);
}
