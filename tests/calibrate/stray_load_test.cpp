// Loads a cell should not feel: against closed forms, and against least squares at 50 digits by another program.
#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <random>
#include <string>

#include "calibrate/csv_readings.hpp"
#include "calibrate/stray_load.hpp"
#include "core/failure.hpp"

using namespace halfturn::calibrate;

namespace {

StrayResult worked_out(Stray stray, const std::string& csv) {
    return calibrate_stray(read_stray_test(stray, CsvReadings::from_text(csv, "t.csv")));
}

double cosine(double deg) { return std::cos(deg * std::numbers::pi / 180); }

std::string why_not(Stray stray, const std::string& csv) {
    try {
        worked_out(stray, csv);
    } catch (const halfturn::BadInput& problem) {
        return problem.what();
    }
    return {};
}

const std::string head = "indicated_N,reference_N,offset_mm,angle_deg\n";

// Of so many cells, whose effect was found within its expanded uncertainty.
int found_again(int cells) {
    std::mt19937 random(7);
    std::normal_distribution<double> noise(0, 0.8);
    int inside = 0;
    for (int cell = 0; cell < cells; ++cell) {
        StrayTest test;
        test.stray = Stray::side_load;
        const auto read = [&](double side_N, double deg) {
            const double force = 3000 + 20 * noise(random);
            test.readings.push_back({force + 0.01 * side_N * cosine(deg - 33) + noise(random), force, side_N, deg});
        };
        for (int i = 0; i < 3; ++i) read(0, 0);
        for (int round = 0; round < 2; ++round)
            for (const double deg : {0.0, 90.0, 180.0, 270.0}) read(250, deg);
        const auto r = calibrate_stray(test);
        inside += std::fabs(r.per_unit - 0.01) <= r.U_per_unit;
    }
    return inside;
}

}  // namespace

TEST_CASE("eccentric load without symmetry: mpmath 1.3 qr_solve at 50 digits, to 10 digits") {
    const auto r = worked_out(Stray::eccentric, head +
                                                    "2011.5,2010.0,0,0\n2003.0,2002.1,0,0\n2024.0,2009.5,12,5\n2009.5,2004.0,12,83\n1987.0,2001.5,12,171\n"
                                                    "2000.5,2006.0,12,262\n2016.5,2003.5,8,20\n1996.0,2007.0,8,190\n2008.5,2007.2,0,0\n2030.0,2015.0,12,340\n");
    CHECK(r.per_unit == Approx(0.0678763414485208).epsilon(1e-10));
    CHECK(r.u_per_unit == Approx(0.00253258312455566).epsilon(1e-10));
    CHECK(r.direction_deg == Approx(12.2209464309584).epsilon(1e-10));
    CHECK(r.shift == Approx(-0.0605305589761436).epsilon(1e-9));
    CHECK(r.u_shift == Approx(0.0414937642465003).epsilon(1e-10));
    CHECK(r.scatter == Approx(0.056952696891239).epsilon(1e-10));
    CHECK(r.dof == 6);
    CHECK(r.largest_amount == 12);
    // The worst is a single reading's, with its sign: (1987 - 2001.5) / 2001.5 less the mean of the three undisturbed ones.
    CHECK(r.worst_percent == Approx(100 * (-14.5 / 2001.5 - (1.5 / 2010 + 0.9 / 2002.1 + 1.3 / 2007.2) / 3)).epsilon(1e-9));
}

TEST_CASE("torsion: mpmath 1.3 qr_solve at 50 digits, to 10 digits") {
    const auto r = worked_out(Stray::torsion,
                              "indicated_N,reference_N,torque_Nm\n3001,3000,0\n3003.5,3001,0\n3010,3002,4\n2993.5,2998.5,-4\n3009,2999,5\n2990,2997,-5.5\n3000.5,2999.5,0\n");
    CHECK(r.per_unit == Approx(1.62478546469373).epsilon(1e-10));
    CHECK(r.u_per_unit == Approx(0.0677161161086583).epsilon(1e-10));
    CHECK(r.shift == Approx(0.391224257782974).epsilon(1e-10));
    CHECK(r.scatter == Approx(0.627731973794994).epsilon(1e-10));
    CHECK(r.worst_percent == Approx((10 - 4.5 / 3) / r.force_N * 100).epsilon(1e-9));
    CHECK(r.places.size() == 4);
}

TEST_CASE("equally spaced angles give the harmonic of any textbook: 2/n |sum y exp(i angle)|") {
    for (const int n : {3, 4, 8, 12}) {
        std::string csv = head + "2000,2000,0,0\n2000.2,2000,0,0\n1999.9,2000,0,0\n";
        double real = 0, imaginary = 0, sum = 0;
        for (int round = 0; round < 2; ++round)
            for (int i = 0; i < n; ++i) {
                const double deg = 360.0 * i / n;
                // Also twice and three times round, which the first harmonic must not take up (but for n = 3, 4, where it can't be told).
                const double deviation = std::round(10 * (9 * cosine(deg - 70) + 2 + (n > 4 ? 3 * cosine(2 * deg) : 0) +
                                                          0.3 * ((i * 7 + round * 3) % 5))) /
                                         10;
                csv += std::to_string(2000 + deviation) + ",2000,15," + std::to_string(deg) + "\n";
                real += deviation * cosine(deg) / n, imaginary += deviation * cosine(deg - 90) / n, sum += deviation;
            }
        const auto r = worked_out(Stray::eccentric, csv);
        CHECK(r.per_unit == Approx(std::hypot(real, imaginary) / 2000 * 100 / 15).epsilon(1e-6));
        CHECK(r.shift == Approx((sum / (2 * n) - 0.1 / 3) / 2000 * 100).margin(1e-6));
        CHECK(static_cast<int>(r.places.size()) == n);
    }
}

// Binomial: 95 of 100 with a standard deviation of 2.2, 380 of 400 with 4.4.
TEST_CASE("the effect a cell was given comes back within its expanded uncertainty, 95 times of 100") { CHECK(found_again(100) >= 88); }

TEST_CASE("the effect a cell was given comes back so often, and not oftener", "[.long]") {
    const int inside = found_again(400);
    CHECK(inside >= 366);
    CHECK(inside <= 394);
}

TEST_CASE("what a job has to reckon with goes by its own amount, and is judged by the whole of it") {
    const std::string readings = head +
                                 "2000,2000,0,0\n2000.1,2000,0,0\n2020,2000,20,0\n2002,2000,20,90\n1984,2000,20,180\n2002,2000,20,270\n"
                                 "2000,2000,0,0\n2020.1,2000,20,0\n2001.9,2000,20,90\n1984.1,2000,20,180\n2002,2000,20,270\n1999.9,2000,0,0\n";
    const auto r = worked_out(Stray::eccentric,
                              "# reach_mm = 10\n# allowed_percent = 0.6\n# resolution_N = 0.1\n# half_width = 0.5\n" + readings);
    CHECK(r.per_unit == Approx(0.045).epsilon(0.002));
    CHECK(r.swing_percent == Approx(0.45).epsilon(0.002));
    CHECK(r.whole_percent >= r.swing_percent);
    CHECK(r.conformity == Conformity::inside);
    CHECK(r.budget.inputs.size() == 5);
    // 0.5 mm of 20 mm, rectangular, is most of it: 0.045 * 0.025 / root 3.
    CHECK(r.gum.u == Approx(0.00065).epsilon(0.1));
    CHECK(worked_out(Stray::eccentric, "# allowed_percent = 0.6\n" + readings).conformity == Conformity::outside);
    CHECK(worked_out(Stray::eccentric, "# half_width = 2\n# allowed_percent = 1\n" + readings).conformity == Conformity::undecided);
    CHECK_FALSE(worked_out(Stray::eccentric, readings).conformity);
}

TEST_CASE("a stray-load test that can't tell says why") {
    const std::string still = "2000,2000,0,0\n2000,2000,0,0\n2000,2000,0,0\n";
    using Catch::Matchers::Contains;
    CHECK_THAT(why_not(Stray::eccentric, head + still), Contains("every offset_mm is zero"));
    CHECK_THAT(why_not(Stray::eccentric, head + "2000,2000,0,0\n2010,2000,9,0\n2000,2000,9,120\n1990,2000,9,240\n"), Contains("undisturbed"));
    CHECK_THAT(why_not(Stray::eccentric, head + still + "2010,2000,9,0\n2000,2000,9,90\n1990,2000,9,180\n1990,2000,9,170\n"), Contains("gap of 180"));
    CHECK_THAT(why_not(Stray::eccentric, head + still + "2010,2000,9,0\n2000,2000,9,120\n1990,2000,9,240\n"), Contains("at least 7 readings"));
    CHECK_THAT(why_not(Stray::eccentric, head + still + "2510,2500,9,0\n2000,2000,9,120\n1990,2000,9,240\n1990,2000,9,240\n"), Contains("within 10 %"));
    CHECK_THAT(why_not(Stray::eccentric, head + "2000,0,0,0\n"), Contains("t.csv:2: reference_N"));
    CHECK_THAT(why_not(Stray::eccentric, head + still + "1,2000,-9,0\n"), Contains("zero or above"));
    CHECK_THAT(why_not(Stray::eccentric, "# reach_mm = 30\n" + head + still + "2010,2000,9,0\n2000,2000,9,120\n1990,2000,9,240\n1990,2000,9,240\n"), Contains("the test went only to 9 mm"));
    CHECK_THAT(why_not(Stray::torsion, "indicated_N,reference_N,torque_Nm\n3001,3000,0\n3001,3000,0\n3001,3000,0\n3005,3000,4\n3005,3000,4\n3005,3000,4\n"), Contains("both ways"));
    CHECK_THAT(why_not(Stray::side_load, head + still), Contains("side_N"));
}
