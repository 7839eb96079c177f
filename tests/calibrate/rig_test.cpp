// The rig's own calibrations on readings computed forward from known truth.
#include <catch2/catch.hpp>
#include <cmath>
#include <cstdint>
#include <cstdlib>
#include <random>

#include "calibrate/csv_readings.hpp"
#include "calibrate/force_series.hpp"
#include "calibrate/pitch.hpp"
#include "calibrate/probability.hpp"
#include "calibrate/step_test.hpp"
#include "calibrate/stiffness.hpp"
#include "calibrate/travel.hpp"
#include "core/failure.hpp"

using namespace halfturn;
using namespace halfturn::calibrate;

namespace {

// Repeatable noise of unit standard deviation: twelve uniform numbers less six.
class Noise {
public:
    double operator()() {
        double sum = -6;
        for (int i = 0; i < 12; ++i) {
            state_ = state_ * 6364136223846793005u + 1442695040888963407u;
            sum += static_cast<double>(state_ >> 11) * 0x1p-53;
        }
        return sum;
    }

private:
    std::uint64_t state_ = 42;
};

double stepped(double value, double step) { return std::round(value / step) * step; }

}  // namespace

TEST_CASE("stiffness of a straight, bent and worn pull") {
    BlockedPull pull;
    SECTION("straight, with a soft toe, play and friction") {
        // 20 kN/mm; a toe that swallows 0.05 mm; 0.04 mm of play at the turn; the way down 300 N weaker than
        // the way up.
        const auto toe = [](double force) { return 0.05 * (1 - std::exp(-force / 100)); };
        for (int i = 0; i <= 20; ++i)
            pull.readings.push_back({0.3 + i * 300 / 20000.0 + toe(i * 300), 300.0 * i});
        for (int i = 19; i >= 0; --i) {
            const double force = 300.0 * i;
            const double loop = 0.015 * std::sqrt(1 - force / 6000);  // closes at the top
            pull.readings.push_back({0.3 + force / 20000 + toe(force) - 0.04 + loop, force});
        }
        const StiffnessResult r = fit_stiffness(pull);
        CHECK(r.N_per_mm == Approx(20000).epsilon(1e-3));
        CHECK(r.highest_N == 6000);
        CHECK(r.from_N == Approx(1200));
        CHECK(r.toe_mm == Approx(toe(6000) - toe(300)).margin(1e-3));  // from the first reading under load
        CHECK(r.backlash_mm.value() == Approx(0.04).margin(0.004));
        CHECK(r.hysteresis_mm.value() == Approx(0.015 * std::sqrt(0.8)).margin(0.004));
    }
    SECTION("stiffening: k(F) from the derivative") {
        // x = F/10000 - F^2/4e8: k = 1 / (1/10000 - F/2e8), 10.5 kN/mm at 1 kN, 13.3 at 5 kN.
        Noise noise;
        for (int i = 1; i <= 40; ++i) {
            const double force = 125.0 * i;
            pull.readings.push_back({force / 10000 - force * force / 4e8 + 0.0005 * noise(), force});
        }
        const StiffnessResult r = fit_stiffness(pull);
        CHECK(r.curve.degree == 2);
        for (const auto& k : r.k_of_F) {
            const double truth = 1 / (1e-4 - k.force_N / 2e8);
            CHECK(std::fabs(k.N_per_mm - truth) < 3 * k.u);
            CHECK(k.u / truth < 0.02);
        }
        CHECK_FALSE(r.backlash_mm);
        CHECK(r.u_N_per_mm > 500);  // one number for a bent pull owns up to it
        CHECK(std::fabs(r.N_per_mm - 1 / (1e-4 - 3000 / 2e8)) < 2 * r.u_N_per_mm);
    }
    SECTION("the caliper's steps give the uncertainty they should") {
        // 200 repeats of a pull read to 0.01 mm: the spread of k must match the u that one pull states.
        Noise noise;
        std::vector<double> ks;
        double stated = 0;
        for (int repeat = 0; repeat < 200; ++repeat) {
            BlockedPull one;
            for (int i = 1; i <= 15; ++i)
                one.readings.push_back({300.0 * i / 15000 + 0.003 * noise(), 300.0 * i});
            const StiffnessResult r = fit_stiffness(one);
            ks.push_back(r.N_per_mm);
            if (r.curve.degree == 1)
                stated += r.u_N_per_mm * r.u_N_per_mm;
            else
                stated += std::pow(15000.0 * 15000 * 0.003 / 4000,
                                   2);  // leave the rare bent verdicts out of the mean
        }
        const MeanAndSd spread = mean_and_sd(ks);
        CHECK(spread.mean == Approx(15000).epsilon(0.003));
        CHECK(std::sqrt(stated / 200) == Approx(spread.sd).epsilon(0.2));
    }
    SECTION("scales widen it, and nonsense is refused") {
        for (int i = 1; i <= 10; ++i) pull.readings.push_back({0.01 * i, 200.0 * i});
        pull.travel_u_percent = 0.3;
        pull.force_u_percent = 0.4;
        CHECK(fit_stiffness(pull).u_N_per_mm == Approx(20000 * 0.005).epsilon(1e-6));
        for (auto& r : pull.readings) r.travel_mm = -r.travel_mm;
        CHECK_THROWS_AS(fit_stiffness(pull), BadInput);
        pull.readings.resize(3);
        CHECK_THROWS_AS(fit_stiffness(pull), BadInput);
        CHECK_THROWS_AS(fit_stiffness({}), BadInput);
    }
}

TEST_CASE("pitch against a caliper, with lost counts, wraps and either direction") {
    PitchReadings run;
    run.counts_per_turn = 600;
    run.travel_resolution_mm = 0.01;
    run.nominal_pitch_mm = 1.25;
    run.tolerance_mm = 0.005;
    const auto record = [&](double pitch, double direction, double lost_at, double lost, double wrap) {
        run.readings.clear();
        for (int i = 0; i <= 40; ++i) {
            const double turns = 0.5 * i;
            double counts = turns * 600 - (i >= lost_at ? lost : 0);
            if (wrap > 0) counts = counts - std::floor(counts / wrap) * wrap;
            run.readings.push_back({std::round(counts), stepped(3 + direction * pitch * turns, 0.01)});
        }
    };
    SECTION("clean") {
        record(1.2512, 1, 99, 0, 0);
        const PitchResult r = fit_pitch(run);
        CHECK(std::fabs(r.pitch_mm - 1.2512) < 2 * r.u_mm);
        CHECK(r.u_mm < 0.0005);
        CHECK(r.direction == 1);
        CHECK(r.turns == Approx(20));
        CHECK(r.lost.empty());
        CHECK(r.conformity.value() == Conformity::inside);
    }
    SECTION("falling travel, and a pitch that is off") {
        record(1.27, -1, 99, 0, 0);
        const PitchResult r = fit_pitch(run);
        CHECK(r.pitch_mm == Approx(1.27).epsilon(5e-4));
        CHECK(r.direction == -1);
        CHECK(r.conformity.value() == Conformity::outside);
    }
    SECTION("a third of a turn lost") {
        record(1.25, 1, 17, 200, 0);
        const PitchResult r = fit_pitch(run);
        REQUIRE(r.lost.size() == 1);
        CHECK(r.lost[0].before_reading == 17);
        CHECK(r.lost[0].counts == Approx(200).margin(5));  // the caliper's step is 4.8 counts
        CHECK(r.pitch_mm == Approx(1.25).epsilon(5e-4));
    }
    // Readings that scatter by more than the caliper's step, as a hand that reads it does.
    const auto scattered = [&](unsigned seed, double lost, double bow_mm) {
        std::mt19937 gen(seed);
        std::normal_distribution<double> scatter(0, 0.012);
        run.readings.clear();
        for (int i = 0; i < 25; ++i) {
            const double turns = i, along = turns / 24;
            run.readings.push_back({std::round(turns * 600) - (i >= 11 ? lost : 0),
                                    stepped(3 + 1.2512 * turns + bow_mm * 4 * along * (1 - along) + scatter(gen), 0.01)});
        }
    };
    SECTION("a loss that no single step shows") {
        int found = 0, at_its_place = 0, pitch_right = 0;
        for (unsigned seed = 1; seed <= 100; ++seed) {
            scattered(seed, 36, 0);
            const PitchResult r = fit_pitch(run);
            found += !r.lost.empty();
            if (r.lost.size() == 1) at_its_place += std::abs(static_cast<int>(r.lost[0].before_reading) - 11) <= 1;
            pitch_right += std::fabs(r.pitch_mm - 1.2512) < 3 * r.u_mm;
        }
        CHECK(found >= 90);
        CHECK(at_its_place >= 90);
        CHECK(pitch_right >= 90);
    }
    SECTION("nothing is lost in a run that only scatters, or with a bowed screw") {
        int found = 0, bowed = 0;
        for (unsigned seed = 1; seed <= 500; ++seed) {
            scattered(seed, 0, 0);
            const PitchResult r = fit_pitch(run);
            found += !r.lost.empty();
            CHECK(r.least_counts_seen > 10);
            CHECK(r.least_counts_seen < 50);
            scattered(seed, 0, 0.05);
            bowed += !fit_pitch(run).lost.empty();
        }
        CHECK(found <= 3);  // promised: one in a thousand
        CHECK(bowed <= 3);
    }
    SECTION("a 12-bit counter wraps") {
        run.counter_wrap = 4096;
        record(1.25, 1, 99, 0, 4096);
        const PitchResult r = fit_pitch(run);
        CHECK(r.lost.empty());
        CHECK(r.turns == Approx(20));
        CHECK(r.pitch_mm == Approx(1.25).epsilon(5e-4));
    }
    SECTION("too little to go by") {
        record(1.25, 1, 99, 0, 0);
        run.readings.resize(4);
        CHECK_THROWS_AS(fit_pitch(run), BadInput);
        record(1.25, 1, 99, 0, 0);
        run.readings.resize(5);  // two turns: just enough
        CHECK_NOTHROW(fit_pitch(run));
        // Six times the scatter of steps of which half are a caliper's step longer.
        CHECK(fit_pitch(run).least_counts_seen == Approx(6 * 1.4826 * 0.01 * 600 / 1.25).margin(1));
        for (auto& r : run.readings) r.counts = 7;
        CHECK_THROWS_AS(fit_pitch(run), BadInput);
    }
}

TEST_CASE("a step shows lag, noise and the true rate") {
    // Force: 80/s, 10 ms late. Travel: 100 readings/s of which only each tenth is new, through a filter 120
    // ms late.
    Noise noise;
    StepSignal force{"force", {}, {}}, travel{"travel", {}, {}};
    const auto truth = [](double t) { return std::clamp((t - 5) / 0.8, 0.0, 1.0); };  // loaded in 0.8 s
    for (int i = 0; i < 800; ++i) {
        const double t = i / 80.0;
        force.t_s.push_back(t);
        force.value.push_back(1000 * truth(t - 0.010) + 2 * noise());
    }
    for (int i = 0; i < 1000; ++i) {
        const double t = i / 100.0;
        travel.t_s.push_back(t);
        travel.value.push_back(i % 10 == 0 || i == 0 ? 0.08 * truth(t - 0.120) : travel.value.back());
    }
    const StepResult f = analyse_step(force), x = analyse_step(travel);
    CHECK(f.noise_sd == Approx(2).epsilon(0.15));
    CHECK(f.readings_per_s == Approx(80).epsilon(1e-6));
    CHECK(f.updates_per_s == Approx(80).epsilon(1e-6));
    CHECK(x.readings_per_s == Approx(100).epsilon(1e-6));
    CHECK(x.updates_per_s == Approx(10).epsilon(1e-6));
    CHECK(x.noise_sd == 0);
    CHECK(f.t90_s - f.t10_s == Approx(0.64).margin(0.01));
    CHECK(f.t50_s == Approx(5.41).margin(0.01));
    const Lag lag = lag_between(f, x);
    CHECK(std::fabs(lag.s - 0.110) < 3 * lag.u_s);
    CHECK(lag.u_s == Approx(0.029).margin(0.004));  // a tenth of a second over root 12
    // 20 kN/mm, 1.25 mm: 250 N allowed and updates each 0.1 s give 0.1 turn/s; a lag of 0.2 s halves that.
    CHECK(fastest_turns_per_s(250, 20000, 1.25, 10, 0.01) == Approx(0.1));
    CHECK(fastest_turns_per_s(250, 20000, 1.25, 10, -0.2) == Approx(0.05));
    StepSignal flat = force;
    for (double& v : flat.value) v = 1;
    CHECK_THROWS_AS(analyse_step(flat), BadInput);
    flat.t_s[3] = flat.t_s[2];
    CHECK_THROWS_AS(analyse_step(flat), BadInput);
}

TEST_CASE("caliper against gauge blocks") {
    TravelReadings readings;
    readings.resolution_mm = 0.01;
    readings.temperature_half_width_K = 2;
    readings.limit_mm = 0.03;
    for (const double block : {0.0, 10.0, 50.0, 100.0})
        for (int i = 0; i < 3; ++i)
            readings.readings.push_back(
                {block, stepped(block * 1.0001 + (i == 2 && block == 50 ? 0.01 : 0), 0.01), "outside"});
    readings.readings.push_back({50, 49.97, "inside"});
    readings.readings.push_back({20, 20.01, "depth"});
    const TravelResult r = calibrate_travel(readings);
    CHECK(r.partial_surface_contact_error_mm ==
          Approx(0.02).margin(1e-9));  // 50.005 shows as 50.01, once with 0.01 more
    CHECK(r.repeatability_mm == Approx(0.01).margin(1e-9));
    REQUIRE(r.scale_shift.size() == 2);
    CHECK(r.scale_shift[0].face == "depth");
    CHECK(r.scale_shift[1].error_mm == Approx(-0.03).margin(1e-9));
    CHECK(r.scale.value().coefficients[1] == Approx(1e-4).epsilon(0.2));
    // Two rectangles of 5 um (reading, zero) rule: a triangle of half-width 10 um would give U = 10 (1 -
    // sqrt(0.05)) = 7.76 um and k = 1.90; temperature's ± 2.3 um and the block's ± 0.6 um widen it a little.
    CHECK(r.gum.u == Approx(std::sqrt(2 * 25 / 3.0 + 2.3 * 2.3 / 3 + 0.6 * 0.6 / 3) * 1e-3).epsilon(1e-3));
    CHECK(r.U_mm == Approx(0.0083).margin(0.0003));
    CHECK(r.k == Approx(1.92).margin(0.02));
    CHECK(r.conformity.value() == Conformity::inside);
    // Abbe: 40 mm beside the scale and ± 2 mrad are ± 80 um and drown the rest; one rectangle has k = 0.95 *
    // sqrt 3.
    readings.abbe_mm = 40;
    readings.jaw_angle_mrad = 2;
    const TravelResult mounted = calibrate_travel(readings);
    CHECK(mounted.k == Approx(0.95 * std::sqrt(3.0)).epsilon(0.02));
    CHECK(mounted.U_mm == Approx(0.076).margin(0.001));
    CHECK(mounted.conformity.value() == Conformity::undecided);
    readings.readings = {{10, 10, "inside"}};
    CHECK_THROWS_AS(calibrate_travel(readings), BadInput);
}

TEST_CASE("a load cell against a reference in the same stack") {
    // 24-bit counts with a slight square part: F = 2 + 0.01 c + 2e-9 c^2, 0.5 N of scatter.
    Noise noise;
    ForceSeries series;
    series.capacity_N = 5000;
    series.resolution = 10;
    series.reference_u_percent = 0.05;
    series.zero_before = 0;
    series.zero_after = 100;
    series.allowed_percent = 1;
    const auto truth = [](double c) { return 2 + 0.01 * c + 2e-9 * c * c; };
    for (int run = 0; run < 3; ++run)
        for (int i = 1; i <= 10; ++i)
            series.readings.push_back({45000.0 * i, truth(45000.0 * i) + 0.5 * noise(), 0, true, ""});
    const ForceSeriesResult plain = calibrate_force(series);
    CHECK(plain.curve.degree == 2);
    CHECK(plain.curve.coefficients[1] == Approx(0.01).epsilon(1e-3));
    CHECK(plain.curve.coefficients[2] == Approx(2e-9).epsilon(0.02));
    CHECK(*plain.curve.residual_sd == Approx(0.5).epsilon(0.35));
    CHECK(plain.limit.factor_N == Approx(2.4 * *plain.curve.residual_sd));
    CHECK(plain.zero_return_percent == Approx(100 * 0.0109 / 5000 * 100).epsilon(0.02));
    CHECK_FALSE(plain.hysteresis_percent);
    CHECK(plain.lowest_usable_N.value() < 500);
    CHECK(plain.uncertainty.size() >= 10);
    // The statement holds: a fresh reading lies within U of truth.
    for (const auto& u : plain.uncertainty)
        CHECK(std::fabs(predict(plain.curve, (u.force_N - 2) / 0.0105).y - truth((u.force_N - 2) / 0.0105)) <
              u.U_N);
    // A way down that reads 10 N low is hysteresis of 0.2 % of capacity and goes into U.
    series.readings.push_back({225000, truth(225000) + 10, 0, false, ""});
    // Off centre by 5 mm the cell reads 0.4 % high.
    series.readings.push_back({225000 * 1.004, truth(225000), 0, true, "5 mm off"});
    const ForceSeriesResult full = calibrate_force(series);
    CHECK(full.hysteresis_percent.value() == Approx(-0.2).epsilon(0.1));
    CHECK(full.positions.at(0).error_percent == Approx(0.4).epsilon(0.15));
    CHECK(full.curve.coefficients[1] == plain.curve.coefficients[1]);  // neither bends the curve
    CHECK(full.gum.u > plain.gum.u);
    const double at_top = full.uncertainty.back().force_N;
    CHECK(
        full.gum.u ==
        Approx(std::hypot(plain.gum.u, 10 / std::sqrt(3.0), 0.004 * at_top / std::sqrt(3.0))).epsilon(0.05));
    series.readings.resize(3);
    CHECK_THROWS_AS(calibrate_force(series), BadInput);
}

TEST_CASE("dead weights from a file") {
    const auto table = CsvReadings::from_text(
        "# capacity_N = 200\n# resolution = 0.01\n# gravity_m_per_s2 = 9.81\n# gravity_u_m_per_s2 = "
        "0.0005\nindicated,mass_kg,direction\n"
        "0,0,up\n98.1,10,up\n49.05,5,up\n147.1,15,up\n196.2,20,up\n98.3,10,down\n",
        "w.csv");
    const ForceSeries series = read_force_series(table);
    CHECK(series.readings[1].reference_N == Approx(98.085285).epsilon(1e-12));
    CHECK(series.readings[1].reference_u_N ==
          Approx(98.085285 * std::hypot(0.0005 / 9.81, 0.06 / 8000)).epsilon(1e-3));
    CHECK_FALSE(series.readings[5].up);
    CHECK(calibrate_force(series).hysteresis_percent.value() == Approx(0.1).epsilon(0.2));
    CHECK_THROWS_WITH(read_force_series(CsvReadings::from_text(
                          "# capacity_N = 200\n# resolution = 0.01\nindicated,mass_kg\n1,1\n", "w.csv")),
                      Catch::Matchers::Contains("gravity_m_per_s2"));
}

TEST_CASE("the degree is chosen by what shows") {
    Noise noise;
    const auto chosen = [&](double square, double cube) {
        LineData data;
        for (int i = 0; i < 40; ++i) {
            const double x = -1 + i / 19.5;
            data.x.push_back(x);
            data.y.push_back(1 + 2 * x + square * x * x + cube * x * x * x + 0.01 * noise());
        }
        return choose_degree(data, 3, false).degree;
    };
    CHECK(chosen(0, 0) == 1);
    CHECK(chosen(0.1, 0) == 2);
    CHECK(chosen(0, 0.1) == 3);  // no square part hides it
    LineData exact{{1, 2, 3, 4, 5, 6}, {2, 4, 6, 8, 10, 12}, {}, {}};
    CHECK(choose_degree(exact, 3, false).degree == 1);
    LineData decimal;  // exact but for the rounding of 0.1, which must not look like a bend
    for (int i = 1; i <= 12; ++i) {
        decimal.x.push_back(350.0 * i);
        decimal.y.push_back(0.1 * i + 0.7);
    }
    CHECK(choose_degree(decimal, 3, false).degree == 1);
    LineData few{{1, 2, 3}, {1, 4, 9}, {}, {}};
    CHECK(choose_degree(few, 3, false).degree == 1);  // three points can't speak for a square
}
