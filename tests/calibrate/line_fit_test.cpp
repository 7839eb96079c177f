// Lines against the NIST Statistical Reference Datasets, the examples of ISO/TS 28037, and exact algebra.
#include "calibrate/line_fit.hpp"

#include <algorithm>
#include <catch2/catch.hpp>
#include <cmath>
#include <fstream>
#include <sstream>
#include <string>

#include "calibrate/probability.hpp"
#include "core/failure.hpp"
#include "core/number_text.hpp"

using namespace halfturn;
using namespace halfturn::calibrate;

namespace {

std::vector<std::vector<double>> numbers_in(const std::string& name) {
    std::ifstream in(std::string(HALFTURN_TESTS_DIR) + "/calibrate/data/" + name);
    REQUIRE(in);
    std::vector<std::vector<double>> rows;
    for (std::string line; std::getline(in, line);) {
        if (line.empty() || line[0] == '#') continue;
        std::istringstream words(line);
        rows.emplace_back();
        for (std::string word; words >> word;) {
            rows.back().push_back(parse_number(word).value());
        }
    }
    return rows;
}

// NIST files give y, then x.
LineData reference_data(const std::string& name) {
    LineData data;
    for (const auto& row : numbers_in(name)) {
        data.y.push_back(row.at(0));
        data.x.push_back(row.at(1));
    }
    return data;
}

// NIST's measure: log relative error, the number of digits that agree (absolute error where the value is 0).
double digits(double got, double certified) {
    const double error = std::fabs(got - certified) / (certified == 0 ? 1 : std::fabs(certified));
    return error == 0 ? 15 : std::min(15.0, -std::log10(error));
}

struct Certified {
    std::string name;
    int degree;
    bool through_origin;
    std::vector<double> coefficients, uncertainties;
    double residual_sd, r_squared;
    double least_coefficients, least_uncertainties;
};

}  // namespace

TEST_CASE("certified lines of the NIST reference datasets") {
    const std::vector<double> nil(6, 0.0), ones(6, 1.0);
    const auto set = GENERATE_REF(values<Certified>({
        {"Norris.txt",
         1,
         false,
         {-0.262323073774029, 1.00211681802045},
         {0.232818234301152, 0.429796848199937E-03},
         0.884796396144373,
         0.999993745883712,
         12,
         12},
        {"Pontius.txt",
         2,
         false,
         {0.673565789473684E-03, 0.732059160401003E-06, -0.316081871345029E-14},
         {0.107938612033077E-03, 0.157817399981659E-09, 0.486652849992036E-16},
         0.205177424076185E-03,
         0.999999900178537,
         12,
         12},
        {"NoInt1.txt",
         1,
         true,
         {2.07438016528926},
         {0.165289256198347E-01},
         3.56753034006338,
         0.999365492298663,
         14,
         13},
        {"NoInt2.txt",
         1,
         true,
         {0.727272727272727},
         {0.420827318078432E-01},
         0.369274472937998,
         0.993348115299335,
         14,
         13},
        {"Wampler1.txt", 5, false, ones, nil, 0, 1, 10, 9},
        {"Wampler2.txt", 5, false, {1, 0.1, 0.01, 0.001, 0.0001, 0.00001}, nil, 0, 1, 11, 11},
        {"Wampler3.txt",
         5,
         false,
         ones,
         {2152.32624678170, 2363.55173469681, 779.343524331583, 101.475507550350, 5.64566512170752,
          0.112324854679312},
         2360.14502379268,
         0.999995559025820,
         10,
         12},
    }));
    INFO(set.name);
    const LineFit fit = fit_line(reference_data(set.name), set.degree, set.through_origin);
    REQUIRE(fit.coefficients.size() == set.coefficients.size());
    for (std::size_t i = 0; i < set.coefficients.size(); ++i) {
        INFO("coefficient " << i);
        CHECK(digits(fit.coefficients[i], set.coefficients[i]) >= set.least_coefficients);
        CHECK(digits(fit.standard_uncertainties[i], set.uncertainties[i]) >= set.least_uncertainties);
        CHECK(digits(std::sqrt(fit.covariance[i][i]), set.uncertainties[i]) >= set.least_uncertainties);
    }
    CHECK(digits(fit.residual_sd.value(), set.residual_sd) >= set.least_uncertainties);
    CHECK(digits(fit.r_squared, set.r_squared) >= 13);
    CHECK_FALSE(fit.chi2);
}

TEST_CASE("NIST univariate data keep all their digits") {
    std::vector<double> values;
    for (const auto& row : numbers_in("Michelso.txt")) values.push_back(row.at(0));
    REQUIRE(values.size() == 100);
    const MeanAndSd result = mean_and_sd(values);
    CHECK(digits(result.mean, 299.852400000000) >= 14);
    CHECK(digits(result.sd, 0.0790105478190518) >= 13);
    CHECK(digits(lag_one_autocorrelation(values), 0.535199668621283) >= 12);
    // The same through a line of degree 0.
    LineData data;
    data.y = values;
    for (std::size_t i = 0; i < values.size(); ++i) data.x.push_back(static_cast<double>(i));
    const LineFit level = fit_line(data, 0, false);
    CHECK(digits(level.coefficients[0], 299.852400000000) >= 14);
    CHECK(digits(level.residual_sd.value(), 0.0790105478190518) >= 13);
    // A large common offset must not eat the digits: a one-pass variance turns negative here.
    std::vector<double> offset;
    for (const double v : {4.0, 7.0, 13.0, 16.0}) offset.push_back(1e9 + v);
    CHECK(mean_and_sd(offset).sd == Approx(std::sqrt(30.0)).epsilon(1e-14));
}

TEST_CASE("ISO/TS 28037 clause 6: known uncertainties of y") {
    LineData data;
    data.x = {1, 2, 3, 4, 5, 6};
    SECTION("equal") {
        data.y = {3.3, 5.6, 7.1, 9.3, 10.7, 12.1};
        data.u_y.assign(6, 0.5);
        const LineFit fit = fit_line(data, 1, false);
        CHECK(fit.coefficients[0] == Approx(1.866666666667).epsilon(1e-11));
        CHECK(fit.coefficients[1] == Approx(1.757142857143).epsilon(1e-11));
        CHECK(fit.standard_uncertainties[0] == Approx(0.465474668126).epsilon(1e-11));
        CHECK(fit.standard_uncertainties[1] == Approx(0.119522860933).epsilon(1e-11));
        CHECK(fit.covariance[0][1] == Approx(-0.05).epsilon(1e-12));
        CHECK(fit.covariance[1][0] == Approx(-0.05).epsilon(1e-12));
        CHECK(fit.chi2.value() == Approx(1.664761904762).epsilon(1e-11));
        CHECK(fit.dof == 4);
        const Inverse inverse = invert(fit, 10.5, 0.5);
        CHECK(inverse.x == Approx(4.913279132791).epsilon(1e-11));
        CHECK(inverse.u == Approx(0.322035560129).epsilon(1e-11));
        CHECK(inverse.high.value() - inverse.low.value() ==
              Approx(2 * 1.959963984540 * 0.322035560129).epsilon(1e-10));
        const Prediction forward = predict(fit, 3.5, 0.2);
        CHECK(forward.y == Approx(8.016666666667).epsilon(1e-11));
        CHECK(forward.u == Approx(0.406409531732).epsilon(1e-11));
    }
    SECTION("unequal") {
        data.y = {3.2, 4.3, 7.6, 8.6, 11.7, 12.8};
        data.u_y = {0.5, 0.5, 0.5, 1, 1, 1};
        const LineFit fit = fit_line(data, 1, false);
        CHECK(fit.coefficients[0] == Approx(0.885232067511).epsilon(1e-11));
        CHECK(fit.coefficients[1] == Approx(2.056962025316).epsilon(1e-11));
        CHECK(fit.standard_uncertainties[0] == Approx(0.529708143509).epsilon(1e-11));
        CHECK(fit.standard_uncertainties[1] == Approx(0.177892016741).epsilon(1e-11));
        CHECK(fit.covariance[0][1] == Approx(-0.082278481013).epsilon(1e-10));
        CHECK(fit.chi2.value() == Approx(4.130801687764).epsilon(1e-11));
        const Inverse inverse = invert(fit, 10.5, 1.0);
        CHECK(inverse.x == Approx(4.674256410256).epsilon(1e-11));
        CHECK(inverse.u == Approx(0.533180902231).epsilon(1e-11));
        // Without --u the observation scatters like its neighbours, whose u_y is 1 here.
        CHECK(invert(fit, 10.5, {}).u == Approx(0.533180902231).epsilon(1e-11));
    }
}

TEST_CASE("ISO/TS 28037 clause 7: uncertainties in x and y") {
    LineData data;
    data.x = {1.2, 1.9, 2.9, 4.0, 4.7, 5.9};
    data.y = {3.4, 4.4, 7.2, 8.5, 10.8, 13.5};
    data.u_x.assign(6, 0.2);
    data.u_y = {0.2, 0.2, 0.2, 0.4, 0.4, 0.4};
    const LineFit fit = fit_line(data, 1, false);
    // Printed: 0.5788, 2.159, 0.4764, 0.1355, -0.0577, 2.743 with 4 degrees of freedom.
    CHECK(fit.coefficients[0] == Approx(0.5788).margin(6e-5));
    CHECK(fit.coefficients[1] == Approx(2.1597).margin(6e-5));
    CHECK(fit.standard_uncertainties[0] == Approx(0.4764).margin(6e-5));
    CHECK(fit.standard_uncertainties[1] == Approx(0.1355).margin(6e-5));
    CHECK(fit.covariance[0][1] == Approx(-0.0577).margin(6e-5));
    CHECK(fit.chi2.value() == Approx(2.743).margin(6e-4));
    // More digits of the minimum itself, from an independent library's documentation (MSL GTC):
    // 0.578822122145264, 2.15965656740064, 2.74267678973.
    CHECK(fit.coefficients[0] == Approx(0.578822122145264).epsilon(1e-7));
    CHECK(fit.coefficients[1] == Approx(2.15965656740064).epsilon(1e-7));
    CHECK(fit.chi2.value() == Approx(2.74267678973).epsilon(1e-10));
    CHECK(fit.dof == 4);
}

TEST_CASE("Pearson's data with York's weights") {
    // York, Earth Planet. Sci. Lett. 1969; the solution a = 5.47991022, b = -0.480533407, S = 11.8663531941
    // is quoted in many papers (from memory, not looked up).
    LineData data;
    data.x = {0.0, 0.9, 1.8, 2.6, 3.3, 4.4, 5.2, 6.1, 6.5, 7.4};
    data.y = {5.9, 5.4, 4.4, 4.6, 3.5, 3.7, 2.8, 2.8, 2.4, 1.5};
    for (const double w : {1000.0, 1000.0, 500.0, 800.0, 200.0, 80.0, 60.0, 20.0, 1.8, 1.0})
        data.u_x.push_back(1 / std::sqrt(w));
    for (const double w : {1.0, 1.8, 4.0, 8.0, 20.0, 20.0, 70.0, 70.0, 100.0, 500.0})
        data.u_y.push_back(1 / std::sqrt(w));
    const LineFit fit = fit_line(data, 1, false);
    CHECK(fit.coefficients[0] == Approx(5.47991022).margin(1e-8));
    CHECK(fit.coefficients[1] == Approx(-0.480533407).margin(1e-9));
    CHECK(fit.chi2.value() == Approx(11.8663531941).margin(1e-9));
}

TEST_CASE("errors in x vanish into ordinary weights, and reach curves too") {
    LineData data = reference_data("Norris.txt");
    data.u_y.assign(data.x.size(), 0.9);
    const LineFit plain = fit_line(data, 1, false);
    data.u_x.assign(data.x.size(), 1e-9);
    const LineFit tiny = fit_line(data, 1, false);
    CHECK(tiny.coefficients[0] == Approx(plain.coefficients[0]).epsilon(1e-9));
    CHECK(tiny.coefficients[1] == Approx(plain.coefficients[1]).epsilon(1e-12));
    // Swapping the axes of a straight line with errors in both gives the same line.
    data.u_x.assign(data.x.size(), 0.7);
    const LineFit there = fit_line(data, 1, false);
    LineData swapped{data.y, data.x, data.u_y, data.u_x};
    const LineFit back = fit_line(swapped, 1, false);
    CHECK(back.coefficients[1] == Approx(1 / there.coefficients[1]).epsilon(1e-10));
    CHECK(back.chi2.value() == Approx(there.chi2.value()).epsilon(1e-10));
    // Points exactly on a cubic are found whatever the weights.
    LineData cubic;
    for (int i = 0; i <= 12; ++i) {
        const double x = 0.5 * i;
        cubic.x.push_back(x);
        cubic.y.push_back(2 - x + 0.3 * x * x * x);
        cubic.u_x.push_back(0.01 + 0.001 * i);
        cubic.u_y.push_back(0.02);
    }
    const LineFit curve = fit_line(cubic, 3, false);
    const double wanted[] = {2, -1, 0, 0.3};
    for (std::size_t i = 0; i < 4; ++i) CHECK(curve.coefficients[i] == Approx(wanted[i]).margin(1e-12));
    CHECK(curve.chi2.value() < 1e-20);
}

TEST_CASE("the calibration interval of the NIST/SEMATECH e-Handbook load cell") {
    // 4.5.1.1 and 4.5.2.1: deflection 1.239722 reads back as 1705106 lb, and the 95 % interval is 1704513 to
    // 1705698 (from memory, not looked up). The data are Pontius.
    const LineFit fit = fit_line(reference_data("Pontius.txt"), 2, false);
    const Inverse inverse = invert(fit, 1.239722, {});
    CHECK(inverse.x == Approx(1705106).margin(1));
    CHECK(inverse.low.value() == Approx(1704513).margin(2));
    CHECK(inverse.high.value() == Approx(1705698).margin(2));
    CHECK_FALSE(inverse.extrapolated);
}

TEST_CASE("a straight line's inverse interval is Fieller's closed form") {
    LineData data;
    data.x = {1, 2, 3, 4, 5, 6};
    data.y = {3.014, 5.225, 7.004, 9.061, 11.201, 12.762};
    const LineFit fit = fit_line(data, 1, false);
    // ISO/TS 28037 annex E data; ordinary least squares as MSL GTC documents it.
    CHECK(fit.coefficients[0] == Approx(1.172).epsilon(1e-12));
    CHECK(fit.standard_uncertainties[0] == Approx(0.158875093196181).epsilon(1e-12));
    CHECK(fit.coefficients[1] == Approx(1.96357142857143).epsilon(1e-12));
    CHECK(fit.standard_uncertainties[1] == Approx(0.0407953578791729).epsilon(1e-12));
    CHECK(fit.covariance[0][1] == Approx(-0.00582491428571429).epsilon(1e-12));
    CHECK(predict(fit, 3.5).y == Approx(8.0445).epsilon(1e-12));
    CHECK(predict(fit, 3.5).u == Approx(0.070).margin(5e-4));
    const Inverse inverse = invert(fit, 10.5, {});
    CHECK(inverse.x == Approx(4.751).margin(5e-4));
    CHECK(inverse.u == Approx(0.097).margin(5e-4));
    // (y - a - b x)^2 = t^2 (s^2 + va + 2 c x + vb x^2), solved as a quadratic.
    const double t = student_coverage_factor(0.95, 4), s = fit.residual_sd.value();
    const double a = fit.coefficients[0], b = fit.coefficients[1];
    const double A = b * b - t * t * fit.covariance[1][1];
    const double B = -2 * b * (10.5 - a) - 2 * t * t * fit.covariance[0][1];
    const double C = (10.5 - a) * (10.5 - a) - t * t * (s * s + fit.covariance[0][0]);
    const double root = std::sqrt(B * B - 4 * A * C);
    CHECK(inverse.low.value() == Approx((-B - root) / (2 * A)).epsilon(1e-10));
    CHECK(inverse.high.value() == Approx((-B + root) / (2 * A)).epsilon(1e-10));
}

TEST_CASE("an inverse without a significant slope has no finite interval") {
    LineData data;
    data.x = {1, 2, 3, 4, 5, 6};
    data.y = {1, -1, 1.2, -0.8, 1.4, -0.7};
    const LineFit fit = fit_line(data, 1, false);
    const Inverse inverse = invert(fit, predict(fit, 3).y, {});
    CHECK((!inverse.low || !inverse.high));
}

TEST_CASE("lack of fit against hand-worked sums") {
    // Two readings at each of four x on a parabola: group means 1, 4, 9, 16 ± 0.1. The straight line through
    // them is 5x - 5, residual means 1, -1, -1, 1: lack 2*4/2 = 4, pure 8*0.01/4 = 0.02, F = 200 with (2, 4).
    LineData data;
    for (int x = 1; x <= 4; ++x)
        for (const double noise : {-0.1, 0.1}) {
            data.x.push_back(x);
            data.y.push_back(x * x + noise);
        }
    const LineFit straight = fit_line(data, 1, false);
    REQUIRE(straight.lack_of_fit);
    CHECK(straight.lack_of_fit->F == Approx(200).epsilon(1e-10));
    CHECK(straight.lack_of_fit->dof_lack == 2);
    CHECK(straight.lack_of_fit->dof_pure == 4);
    // With (2, n) degrees the tail is (1 + 2F/n)^(-n/2): 101^-2.
    CHECK(straight.lack_of_fit->p == Approx(std::pow(101.0, -2)).epsilon(1e-10));
    const LineFit parabola = fit_line(data, 2, false);
    REQUIRE(parabola.lack_of_fit);
    CHECK(parabola.lack_of_fit->F == Approx(0).margin(1e-10));
    CHECK(parabola.lack_of_fit->p == Approx(1));
    data.u_y.assign(data.x.size(), 0.25);  // equal weights change nothing in F
    CHECK(fit_line(data, 1, false).lack_of_fit->F == Approx(200).epsilon(1e-10));
}

TEST_CASE("lines refuse what can't be fitted") {
    CHECK_THROWS_AS(fit_line({}, 1, false), BadInput);
    CHECK_THROWS_AS(fit_line({{1, 1, 1}, {1, 2, 3}, {}, {}}, 1, false), BadInput);
    CHECK_THROWS_AS(fit_line({{1, 2}, {1, 2}, {}, {}}, 1, false), BadInput);
    CHECK_NOTHROW(fit_line({{1, 2}, {1, 2}, {}, {0.1, 0.1}}, 1, false));
    CHECK_THROWS_AS(fit_line({{1, 2, 3}, {1, 2, 3}, {}, {0.1, 0, 0.1}}, 1, false), BadInput);
    CHECK_THROWS_AS(fit_line({{1, 2, 3}, {1, 2, 3}, {0.1, 0.1, 0.1}, {}}, 1, false), BadInput);
    CHECK_THROWS_AS(fit_line({{0, 0, 0}, {1, 2, 3}, {}, {}}, 1, true), BadInput);
    CHECK_THROWS_AS(fit_line({{1, 2, 3}, {1, 2, 3}, {}, {}}, -1, false), BadInput);
    const LineFit hill = fit_line({{-2, -1, 0, 1, 2}, {0, 3, 4, 3, 0}, {}, {}}, 2, false);
    CHECK_THROWS_AS(invert(hill, 2, {}), BadInput);   // twice
    CHECK_THROWS_AS(invert(hill, 99, {}), BadInput);  // never
}
