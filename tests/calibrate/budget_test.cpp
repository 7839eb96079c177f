// Budgets against the worked examples of the GUM (JCGM 100), JCGM 101 and EA-4/02.
#include "calibrate/budget.hpp"

#include <unistd.h>

#include <catch2/catch.hpp>
#include <cmath>
#include <cstdio>
#include <filesystem>
#include <fstream>
#include <string>

#include "calibrate/line_fit.hpp"
#include "calibrate/monte_carlo.hpp"
#include "calibrate/probability.hpp"
#include "core/failure.hpp"

using namespace halfturn;
using namespace halfturn::calibrate;

namespace {

constexpr std::size_t trials = 1000000;

BudgetInput normal(std::string name, double value, double u, double dof = INFINITY) {
    return {std::move(name), value, u, Distribution::normal, dof, ""};
}

BudgetInput within(Distribution kind, std::string name, double value, double half_width,
                   double dof = INFINITY) {
    return {std::move(name), value, standard_uncertainty(kind, half_width), kind, dof, ""};
}

BudgetInput rectangular(std::string name, double value, double half_width, double dof = INFINITY) {
    return within(Distribution::rectangular, std::move(name), value, half_width, dof);
}

MonteCarloResult monte_carlo(const Budget& budget, CoverageInterval kind = CoverageInterval::symmetric) {
    return evaluate_monte_carlo(budget, trials, 20240229, kind);
}

}  // namespace

TEST_CASE("GUM H.1: end-gauge") {
    Budget budget;
    budget.model = "ls + d + d1 + d2 - ls*(dalpha*(theta+Delta) + alphas*dtheta)";
    budget.inputs = {normal("ls", 50000623, 25, 18),
                     normal("d", 215, 5.8, 24),
                     normal("d1", 0, 3.9, 5),
                     normal("d2", 0, 6.7, 8),
                     rectangular("alphas", 1.15e-5, 2e-6),
                     normal("theta", -0.1, 0.2),
                     within(Distribution::arcsine, "Delta", 0, 0.5),
                     rectangular("dalpha", 0, 1e-6, 50),
                     rectangular("dtheta", 0, 0.05, 2)};
    budget.probability = 0.99;
    const GumResult result = evaluate_gum(budget);
    CHECK(result.y == Approx(50000838).epsilon(1e-12));  // printed 50.000 838 mm
    // Unrounded recomputation with the printed parts; the GUM prints 32, 16.7 (used 16), 2.92 and, from a
    // rounded u, 93.
    CHECK(result.u == Approx(31.663879).epsilon(2e-6));
    CHECK(result.dof_eff == Approx(16.75186).margin(0.03));
    CHECK(std::floor(result.dof_eff) == 16);
    CHECK(result.k == Approx(2.9207816).epsilon(1e-7));
    CHECK(result.U == Approx(92.48328).epsilon(2e-6));
    CHECK(result.contributions[0].u_y == Approx(25).epsilon(1e-6));
    CHECK(result.contributions[4].u_y == 0);
    CHECK(result.contributions[5].u_y == 0);
    CHECK(result.contributions[7].u_y == Approx(2.886787).epsilon(1e-5));
    CHECK(result.contributions[8].u_y == Approx(16.599027).epsilon(1e-5));
    double shares = 0;
    for (const auto& part : result.contributions) shares += part.share_percent;
    CHECK(shares == Approx(100));
}

TEST_CASE("GUM H.2: simultaneous resistance and reactance") {
    const std::vector<double> V{5.007, 4.994, 5.005, 4.99, 4.999},
        I{19.663e-3, 19.639e-3, 19.64e-3, 19.685e-3, 19.678e-3}, phi{1.0456, 1.0438, 1.0468, 1.0428, 1.0433};
    const auto mean_u = [](const std::vector<double>& v) {
        const MeanAndSd s = mean_and_sd(v);
        return std::pair{s.mean, s.sd / std::sqrt(static_cast<double>(v.size()))};
    };
    const auto correlation = [](const std::vector<double>& a, const std::vector<double>& b) {
        const MeanAndSd sa = mean_and_sd(a), sb = mean_and_sd(b);
        double sum = 0;
        for (std::size_t i = 0; i < a.size(); ++i) sum += (a[i] - sa.mean) * (b[i] - sb.mean);
        return sum / static_cast<double>(a.size() - 1) / (sa.sd * sb.sd);
    };
    Budget budget;
    budget.inputs = {normal("V", mean_u(V).first, mean_u(V).second, 4),
                     normal("I", mean_u(I).first, mean_u(I).second, 4),
                     normal("phi", mean_u(phi).first, mean_u(phi).second, 4)};
    budget.correlations = {
        {0, 1, correlation(V, I)}, {0, 2, correlation(V, phi)}, {1, 2, correlation(I, phi)}};
    CHECK(budget.correlations[0].r == Approx(-0.3553112).epsilon(1e-6));
    const auto evaluate = [&](const std::string& model) {
        budget.model = model;
        return evaluate_gum(budget);
    };
    CHECK(evaluate("V/I*cos(phi)").y == Approx(127.73217).epsilon(1e-7));
    CHECK(evaluate("V/I*cos(phi)").u == Approx(0.0710714).epsilon(1e-5));
    CHECK(evaluate("V/I*sin(phi)").y == Approx(219.846512).epsilon(1e-7));
    CHECK(evaluate("V/I*sin(phi)").u == Approx(0.2955817).epsilon(1e-5));
    CHECK(evaluate("V ÷ I").y == Approx(254.259702).epsilon(1e-7));
    CHECK(evaluate("V/I").u == Approx(0.2363361).epsilon(1e-5));
    // Five simultaneous sets leave 4 degrees of freedom, however strong the correlations.
    CHECK(evaluate("V/I*sin(phi)").dof_eff == Approx(4));
    CHECK(evaluate("V/I*sin(phi)").k == Approx(2.7764451).epsilon(1e-7));
    double shares = 0;
    for (const auto& part : evaluate("V/I").contributions) shares += part.share_percent;
    CHECK(shares == Approx(100));
}

TEST_CASE("GUM H.3: thermometer") {
    LineData data;
    for (const double t :
         {21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.01, 26.511})
        data.x.push_back(t - 20);
    data.y = {-0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.16};
    const LineFit fit = fit_line(data, 1, false);
    CHECK(fit.coefficients[0] == Approx(-0.17120379).epsilon(1e-7));
    CHECK(fit.standard_uncertainties[0] == Approx(0.0028776).epsilon(1e-4));
    CHECK(fit.coefficients[1] == Approx(0.0021826977).epsilon(1e-7));
    CHECK(fit.standard_uncertainties[1] == Approx(0.00066794).epsilon(1e-5));
    CHECK(fit.covariance[0][1] / (fit.standard_uncertainties[0] * fit.standard_uncertainties[1]) ==
          Approx(-0.9304296).epsilon(1e-6));
    CHECK(fit.residual_sd.value() == Approx(0.003497564).epsilon(1e-6));
    // H.3.4: at 30 degC the correction is -0.1494 with u = 0.0041.
    CHECK(predict(fit, 10).y == Approx(-0.1494).margin(5e-5));
    CHECK(predict(fit, 10).u == Approx(0.0041).margin(5e-5));
}

TEST_CASE("JCGM 101 9.2: additive models") {
    Budget budget;
    budget.model = "x1+x2+x3+x4";
    SECTION("9.2.2 normal") {
        for (const char* name : {"x1", "x2", "x3", "x4"}) budget.inputs.push_back(normal(name, 0, 1));
        const GumResult gum = evaluate_gum(budget);
        CHECK(gum.u == Approx(2));
        CHECK(gum.U == Approx(3.92).margin(0.005));
        const MonteCarloResult mc = monte_carlo(budget);
        CHECK(mc.mean == Approx(0).margin(0.01));
        CHECK(mc.u == Approx(2).epsilon(0.004));
        CHECK(mc.low == Approx(-3.92).margin(0.025));
        CHECK(mc.high == Approx(3.92).margin(0.025));
        CHECK(compare(gum, mc).agrees);
        CHECK(mc.end_noise == Approx(2 * 0.0027).epsilon(0.6));
    }
    SECTION("9.2.3 rectangular, the same widths") {
        for (const char* name : {"x1", "x2", "x3", "x4"})
            budget.inputs.push_back(rectangular(name, 0, std::sqrt(3.0)));
        const MonteCarloResult mc = monte_carlo(budget);
        CHECK(mc.u == Approx(2).epsilon(0.004));
        CHECK(mc.low == Approx(-3.879407).margin(0.02));
        CHECK(mc.high == Approx(3.879407).margin(0.02));
        CHECK(evaluate_gum(budget).U == Approx(3.92).margin(0.005));
    }
    SECTION("9.2.4 rectangular, one ten times wider") {
        for (const char* name : {"x1", "x2", "x3"})
            budget.inputs.push_back(rectangular(name, 0, std::sqrt(3.0)));
        budget.inputs.push_back(rectangular("x4", 0, 10 * std::sqrt(3.0)));
        const GumResult gum = evaluate_gum(budget);
        CHECK(gum.u == Approx(10.148892).epsilon(1e-7));
        CHECK(gum.U == Approx(19.9).margin(0.05));
        for (const auto kind : {CoverageInterval::symmetric, CoverageInterval::shortest}) {
            const MonteCarloResult mc = monte_carlo(budget, kind);
            const double margin = kind == CoverageInterval::symmetric ? 0.05 : 0.25;
            CHECK(mc.low == Approx(-17.015814).margin(margin));
            CHECK(mc.high == Approx(17.015814).margin(margin));
            CHECK_FALSE(compare(gum, mc).agrees);
        }
    }
}

TEST_CASE("JCGM 101 9.3: mass calibration, where the first order is blind") {
    // Inputs and printed results from memory, not looked up: GUM y 1.2340, u 0.0539, 1.1285 to 1.3395; Monte
    // Carlo 1.2341, 0.0754, 1.0834 to 1.3825.
    Budget budget;
    budget.model = "(mRc + dmRc)*(1 + (ra - 1.2)*(1/rW - 1/rR)) - 100000";
    budget.inputs = {normal("mRc", 100000, 0.050), normal("dmRc", 1.234, 0.020),
                     rectangular("ra", 1.20, 0.10), rectangular("rW", 8000, 1000),
                     rectangular("rR", 8000, 50)};
    const GumResult gum = evaluate_gum(budget);
    CHECK(gum.y == Approx(1.2340).margin(5e-5));
    CHECK(gum.u == Approx(0.0539).margin(5e-5));
    CHECK(gum.y - gum.U == Approx(1.1285).margin(1e-4));
    CHECK(gum.y + gum.U == Approx(1.3395).margin(1e-4));
    const MonteCarloResult mc = monte_carlo(budget);
    CHECK(mc.mean == Approx(1.2341).margin(4e-4));
    CHECK(mc.u == Approx(0.0754).margin(3e-4));
    CHECK(mc.low == Approx(1.0834).margin(2e-3));
    CHECK(mc.high == Approx(1.3825).margin(2e-3));
    CHECK_FALSE(compare(gum, mc).agrees);
}

TEST_CASE("JCGM 101 9.4: comparison loss, with moments known exactly") {
    const double u = 0.005;
    Budget budget;
    budget.model = "x1^2 + x2^2";
    const auto at = [&](double x1, double r) {
        budget.inputs = {normal("x1", x1, u), normal("x2", 0, u)};
        budget.correlations = {{0, 1, r}};
        if (r == 0) budget.correlations.clear();
        return monte_carlo(budget, CoverageInterval::shortest);
    };
    for (const double x1 : {0.0, 0.010, 0.050})
        for (const double r : {0.0, 0.9}) {
            INFO("x1 " << x1 << " r " << r);
            const MonteCarloResult mc = at(x1, r);
            CHECK(mc.mean == Approx(x1 * x1 + 2 * u * u).epsilon(0.005));
            CHECK(mc.u ==
                  Approx(std::sqrt(4 * u * u * x1 * x1 + 4 * u * u * u * u * (1 + r * r))).epsilon(0.006));
            CHECK(evaluate_gum(budget).u == Approx(2 * x1 * u).margin(1e-18));
        }
    const MonteCarloResult none =
        at(0, 0);  // shortest interval from 0 to u^2 times the 95 % point of chi-squared (2)
    CHECK(none.low == Approx(0).margin(1e-7));
    CHECK(none.high == Approx(-2 * std::log(0.05) * u * u).epsilon(0.01));
    const GumResult blind = evaluate_gum(budget);
    CHECK(blind.u == 0);
    CHECK(std::isinf(blind.dof_eff));
    CHECK_FALSE(compare(blind, none).agrees);
}

TEST_CASE("EA-4/02 S10: caliper, where k is 1.83 and not 2") {
    // Values from memory, not looked up: 150.10 mm read on a 150 mm block; steps of 0.05 mm, mechanical
    // effects ± 50 um, temperature ± 2 K, block ± 0.8 um. Printed: E = 0.10 mm, u = 0.033 mm, k = 1.83, U =
    // 0.06 mm.
    Budget budget;
    budget.model = "reading - block + 150*11.5e-6*dt + step + mechanical";
    budget.inputs = {normal("reading", 150.10, 0), rectangular("block", 150.00, 0.8e-3),
                     rectangular("dt", 0, 2), rectangular("step", 0, 0.025),
                     rectangular("mechanical", 0, 0.050)};
    budget.probability = 0.9545;
    const GumResult gum = evaluate_gum(budget);
    CHECK(gum.y == Approx(0.10));
    CHECK(gum.u == Approx(0.033).margin(8e-4));  // printed from parts rounded to 15 and 29 um
    CHECK(gum.k == Approx(2).margin(1e-4));
    budget.probability = 0.95;
    const MonteCarloResult mc = monte_carlo(budget);
    // A trapezoid of half-widths 50 and 25: k = (1 - sqrt((1-p)(1-b^2))) / sqrt((1+b^2)/6) with b = 25/75
    // (EA-4/02 S10.13).
    const double b = 1.0 / 3, k = (1 - std::sqrt(0.05 * (1 - b * b))) / std::sqrt((1 + b * b) / 6);
    CHECK(k == Approx(1.83).margin(5e-3));
    CHECK((mc.high - mc.low) / 2 / mc.u == Approx(k).epsilon(0.01));
    CHECK((mc.high - mc.low) / 2 == Approx(0.06).margin(0.005));
    CHECK_FALSE(compare(evaluate_gum(budget), mc).agrees);
}

TEST_CASE("every distribution has its own spread and ends") {
    const auto one = [](BudgetInput input) {
        Budget budget;
        budget.model = "x";
        budget.inputs = {std::move(input)};
        return monte_carlo(budget);
    };
    const auto triangular = one(within(Distribution::triangular, "x", 5, 1));
    CHECK(triangular.mean == Approx(5).margin(0.002));
    CHECK(triangular.u == Approx(1 / std::sqrt(6.0)).epsilon(0.004));
    CHECK(triangular.high == Approx(5 + 1 - std::sqrt(0.05)).margin(0.004));
    const auto arcsine = one(within(Distribution::arcsine, "x", 0, 1));
    CHECK(arcsine.u == Approx(1 / std::sqrt(2.0)).epsilon(0.004));
    CHECK(arcsine.high == Approx(std::sin(0.475 * std::acos(-1))).margin(0.001));
    for (const double dof : {1.0, 3.0, 5.0, 18.0}) {
        const auto t = one({"x", 0, 1, Distribution::student, dof, ""});
        INFO("dof " << dof);
        CHECK(t.high == Approx(student_coverage_factor(0.95, dof)).epsilon(0.02));
        CHECK(t.low == Approx(-student_coverage_factor(0.95, dof)).epsilon(0.02));
    }
    CHECK_THROWS_AS(standard_uncertainty(Distribution::normal, 1), BadInput);
}

TEST_CASE("full correlation, and correlated inputs that are not normal") {
    Budget budget;
    budget.model = "a - b";
    budget.inputs = {normal("a", 1, 0.3), normal("b", 1, 0.3)};
    budget.correlations = {{0, 1, 1}};
    CHECK(evaluate_gum(budget).u == Approx(0).margin(1e-9));
    CHECK(monte_carlo(budget).u == Approx(0).margin(1e-9));
    budget.correlations = {{0, 1, -1}};
    CHECK(evaluate_gum(budget).u == Approx(0.6));
    CHECK(monte_carlo(budget).u == Approx(0.6).epsilon(0.004));
    // Margins stay rectangular: with r = 1 the sum of two is rectangular of double width.
    budget.model = "a + b";
    budget.inputs = {rectangular("a", 0, 1), rectangular("b", 0, 1)};
    budget.correlations = {{0, 1, 1}};
    CHECK(monte_carlo(budget).high == Approx(1.9).margin(0.003));
    CHECK(evaluate_gum(budget).u == Approx(2 / std::sqrt(3.0)));
}

TEST_CASE("the same seed gives the same bits, another does not") {
    Budget budget;
    budget.model = "x*y";
    budget.inputs = {normal("x", 1, 0.1), {"y", 2, 0.1, Distribution::student, 4, ""}};
    const auto once = evaluate_monte_carlo(budget, 10000, 7, CoverageInterval::symmetric);
    const auto again = evaluate_monte_carlo(budget, 10000, 7, CoverageInterval::symmetric);
    const auto other = evaluate_monte_carlo(budget, 10000, 8, CoverageInterval::symmetric);
    CHECK(once.mean == again.mean);
    CHECK(once.low == again.low);
    CHECK(once.mean != other.mean);
    CHECK_THROWS_AS(evaluate_monte_carlo(budget, 100, 7, CoverageInterval::symmetric), BadInput);
}

TEST_CASE("budgets that can't be evaluated say why") {
    using Catch::Matchers::Contains;
    Budget budget;
    budget.model = "1/x";
    budget.inputs = {normal("x", 0, 1), normal("y", 0, 1), normal("z", 0, 1)};
    CHECK_THROWS_WITH(evaluate_gum(budget), Contains("no value"));
    budget.model = "sqrt(x)";
    CHECK_THROWS_WITH(evaluate_gum(budget), Contains("derivative by x"));
    budget.model = "x + y + z";
    budget.correlations = {{0, 1, 0.9}, {1, 2, 0.9}, {0, 2, -0.9}};
    CHECK_THROWS_WITH(evaluate_gum(budget), Contains("true together"));
    budget.correlations = {{0, 1, 1.1}};
    CHECK_THROWS_WITH(evaluate_gum(budget), Contains("-1 to 1"));
    budget.correlations.clear();
    budget.probability = 1;
    CHECK_THROWS_WITH(evaluate_gum(budget), Contains("probability"));
    budget.probability = 0.95;
    budget.model = "sqrt(x)";
    budget.inputs[0].value = 1;
    CHECK(monte_carlo(budget).without_value > 0);  // normal around 1 with u 1 goes below zero
    CHECK_FALSE(compare(evaluate_gum(budget), monte_carlo(budget)).agrees);
}

TEST_CASE("budget files are read strictly") {
    using Catch::Matchers::Contains;
    std::string name = "halfturn_budget_";
    name += std::to_string(::getpid());
    const auto path = std::filesystem::temp_directory_path() / name;
    const auto read = [&](const std::string& text) {
        std::ofstream(path) << text;
        return read_budget(path.string());
    };
    const Budget budget = read(
        "model = \"a*b\"\n[[input]]\nname = \"a\"\nvalue = 2\nhalf_width = 0.3\n[[input]]\nname = "
        "\"b\"\nvalue = 3.5\nu = 0.1\n"
        "distribution = \"t\"\ndof = 4\n[[correlation]]\na = \"a\"\nb = \"b\"\nr = "
        "0.5\n[report]\nprobability = 0.99\n");
    CHECK(budget.inputs[0].distribution == Distribution::rectangular);
    CHECK(budget.inputs[0].u == Approx(0.3 / std::sqrt(3.0)));
    CHECK(budget.inputs[1].distribution == Distribution::student);
    CHECK(budget.inputs[1].dof == 4);
    CHECK(budget.correlations.at(0).r == 0.5);
    CHECK(budget.probability == 0.99);
    const std::string a = "model = \"a\"\n[[input]]\nname = \"a\"\nvalue = 2\n";
    CHECK_THROWS_WITH(read(a), Contains("u is missing") || Contains("input.u"));
    CHECK_THROWS_WITH(read(a + "u = 1\nhalf_width = 1\n"), Contains("keep one"));
    CHECK_THROWS_WITH(read(a + "half_width = 1\ndistribution = \"normal\"\n"), Contains("no ends"));
    CHECK_THROWS_WITH(read(a + "u = 1\ndistribution = \"t\"\n"), Contains("dof"));
    CHECK_THROWS_WITH(read(a + "u = -1\n"), Contains(":5:"));
    CHECK_THROWS_WITH(read(a + "u = 1\ndistribution = \"triangle\"\n"), Contains("triangular"));
    CHECK_THROWS_WITH(read(a + "u = 1\nvalues = 3\n"), Contains("values"));
    CHECK_THROWS_WITH(read(a + "u = 1\n[[correlation]]\na = \"a\"\nb = \"c\"\nr = 0.5\n"), Contains("\"c\""));
    CHECK_THROWS_WITH(read("model = \"a+b\"\n[[input]]\nname = \"a\"\nvalue = 2\nu = 1\n"),
                      Contains(path.string()) && Contains("\"b\""));
    CHECK_THROWS_WITH(read("model = \"a\"\n"), Contains("[[input]]"));
    // Both once ended the program by an assertion of the TOML library.
    CHECK_THROWS_WITH(read(a + "u = 1\n[[.relation]]\n"), Contains("not valid TOML"));
    CHECK_THROWS_WITH(read(a + "u = 1\n[#relation]]\n"), Contains("not valid TOML"));
    std::filesystem::remove(path);
}
