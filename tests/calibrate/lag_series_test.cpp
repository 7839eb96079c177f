// A live lag series as a pure machine: quick steps caught from made-up instruments whose lag is known.
#include <catch2/catch.hpp>
#include <cmath>
#include <functional>
#include <random>
#include <string>

#include "calibrate/csv_readings.hpp"
#include "calibrate/series_run.hpp"
#include "calibrate/step_test.hpp"
#include "core/failure.hpp"

using namespace halfturn::calibrate;
using At = SeriesRun::At;
using Took = SeriesRun::Took;

namespace {

// Reads every every_s, late by late_s, in steps of a least count, with noise.
struct MadeUp {
    double every_s, late_s, least_count, noise;
    double next_s = 0;
};

// A person who jerks half a second after the word, in 60 ms; what the press does then.
class Person {
public:
    explicit Person(double from) : at_(from) {}
    double at(double t_s) const {
        const double part = jerk_s_ < 0 ? 0 : std::min(1.0, std::max(0.0, (t_s - jerk_s_) / 0.06));
        return at_ + (to_ - at_) * part;
    }
    void jerk(double t_s, double to) {
        at_ = at(t_s);
        to_ = to;
        jerk_s_ = t_s + 0.5;
    }

private:
    double at_, to_ = 0, jerk_s_ = -1;
};

SeriesPlan lag_plan(int jerks) {
    SeriesPlan plan;
    plan.kind = "lag";
    plan.steps = lag_steps(2000, jerks);
    plan.instruments = 2;
    plan.steady_s = 2;
    plan.channel_names = {"force", "screw-travel"};
    return plan;
}

// Plays the whole series; the force is the first instrument, the travel follows it over 20000 N/mm.
std::string play(SeriesRun& run, MadeUp force, MadeUp travel, unsigned seed, const std::function<void(double)>& each = {}) {
    std::mt19937 random(seed);
    std::normal_distribution<double> normal;
    std::uniform_real_distribution<double> uniform;
    force.next_s = uniform(random) * force.every_s, travel.next_s = uniform(random) * travel.every_s;
    Person person(1000);
    std::string text;
    bool now = false;
    for (double t = 0; t < 300 && run.at() != At::over; t += 0.001) {
        if (run.at() == At::step) run.hold(t, {force.least_count, travel.least_count});
        if (run.at() == At::over) break;
        int i = 0;
        for (MadeUp* one : {&force, &travel}) {
            if (t >= one->next_s) {
                one->next_s += one->every_s;
                const double what = person.at(t - one->late_s) / (i == 0 ? 1 : 20000) + one->noise * normal(random);
                run.reading(static_cast<std::size_t>(i), t, std::round(what / one->least_count) * one->least_count);
            }
            ++i;
        }
        if (each) each(t);
        if (run.now() && !now) person.jerk(t, run.step().target);
        now = run.now();
        run.take_when_steady();
        for (const auto& line : run.take_lines()) text += line + "\n";
    }
    return text;
}

}  // namespace

TEST_CASE("a lag series catches its steps and finds the lag the instruments were given") {
    for (const unsigned seed : {1U, 2U, 3U}) {
        SeriesRun run(lag_plan(6));
        const std::string text = play(run, {1 / 80.0, 0.03, 0.5, 1.0}, {1 / 10.0, 0.18, 0.01, 0.0005}, seed);
        REQUIRE(run.at() == At::over);
        CHECK(run.kept() == 6);
        const auto steps = read_step_tests(CsvReadings::from_text(text, "lag.csv"));
        REQUIRE(steps.size() == 6);
        const auto lags = lags_of(steps);
        REQUIRE(lags.size() == 2);
        CHECK(lags[0].channel == "force");
        CHECK(lags[0].lag.s == 0);
        INFO(lags[1].lag.s << " +- " << lags[1].lag.u_s);
        CHECK(std::fabs(lags[1].lag.s - 0.15) < 3 * lags[1].lag.u_s);
        CHECK(lags[1].lag.u_s < 0.02);
        CHECK(lags[0].readings_per_s == Approx(80).epsilon(0.05));
        CHECK(lags[1].readings_per_s == Approx(10).epsilon(0.05));
    }
}

TEST_CASE("a knock that only one instrument sees is no step, and is waited out") {
    SeriesRun run(lag_plan(1));
    bool knocked = false;
    int missed = 0;
    const std::string text = play(run, {1 / 40.0, 0, 0.5, 0.5}, {1 / 20.0, 0.1, 0.01, 0}, 4, [&](double t) {
        if (run.now() && !knocked) {
            knocked = true;
            run.reading(0, t + 1e-4, 1400);
        }
        missed = std::max(missed, run.missed());
    });
    CHECK(knocked);
    CHECK(run.kept() == 1);
    CHECK(missed <= 1);
    CHECK(std::fabs(lags_of(read_step_tests(CsvReadings::from_text(text, "lag.csv")))[1].lag.s - 0.1) < 0.05);
}

TEST_CASE("the mean of several steps, its uncertainty, and what is refused") {
    // Jumps between two readings 10 ms apart: t50 is exact to the interpolation, so lags are 0.02 and 0.04.
    std::string text = "t_s,channel,value,step\n";
    for (int step = 1; step <= 2; ++step)
        for (int i = 0; i < 60; ++i) {
            text += std::to_string(i / 100.0) + ",force," + std::to_string(i > 30 ? 100 : 0) + "," + std::to_string(step) + "\n";
            text += std::to_string(i / 100.0) + ",travel," + std::to_string(i > 30 + 2 * step ? 1 : 0) + "," + std::to_string(step) + "\n";
        }
    const auto lags = lags_of(read_step_tests(CsvReadings::from_text(text, "lag.csv")));
    CHECK(lags[1].lag.s == Approx(0.03));
    CHECK(lags[1].lag_sd_s == Approx(std::sqrt(0.0002)));
    CHECK(lags[1].lag.u_s == Approx(0.01));   // 0.02 / root 2 / root 2
    CHECK(lags[0].lag.u_s == Approx(0.01 / std::sqrt(12.0)));   // two halves of 10 ms, rectangular, over root 2
    CHECK_THROWS_AS(lags_of(read_step_tests(CsvReadings::from_text(text + "0,force,1,3\n", "lag.csv"))), halfturn::BadInput);
}
