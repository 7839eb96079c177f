// Models as text: precedence, signs, exact derivatives, and refusals that say where.
#include "calibrate/expression.hpp"

#include <catch2/catch.hpp>
#include <cmath>
#include <numbers>
#include <string>

#include "core/failure.hpp"

using namespace halfturn;
using halfturn::calibrate::Expression;

namespace {

double value(const std::string& text, std::vector<double> inputs = {}) {
    const std::vector<std::string> names{"x", "y", "z_1", "δα"};
    inputs.resize(names.size());
    return Expression::parse(text, names).value(inputs);
}

}  // namespace

TEST_CASE("expressions follow the usual rules") {
    CHECK(value("1+2*3") == 7);
    CHECK(value("(1+2)*3") == 9);
    CHECK(value("10-4-3") == 3);
    CHECK(value("16/4/2") == 2);
    CHECK(value("2^3^2") == 512);
    CHECK(value("-3^2") == -9);
    CHECK(value("2^-1") == 0.5);
    CHECK(value("-2*-3") == 6);
    CHECK(value("1.15e-05*2E3") == Approx(0.023));
    CHECK(value("sqrt(16)+exp(0)+log(1)+sin(0)+cos(0)") == 6);
    CHECK(value("2×3÷4·2 − 1") == 2);
    CHECK(value("pi") == std::numbers::pi);
    CHECK(value("x*y - z_1/δα", {2, 3, 8, 4}) == 4);
    CHECK(Expression::parse("pi", {"pi"}).value({3}) == 3);
    CHECK(Expression::parse("exp1*log2", {"exp1", "log2"}).value({3, 5}) == 15);
    CHECK(value("(-2)^2") == 4);
    CHECK(value("(-2)^3") == -8);
}

TEST_CASE("derivatives are exact") {
    const auto at = [](const std::string& text, double x, double y) {
        return Expression::parse(text, {"x", "y"}).gradient({x, y});
    };
    const auto check = [&](const std::string& text, double x, double y, double by_x, double by_y) {
        INFO(text);
        const auto g = at(text, x, y);
        CHECK(g.value == Expression::parse(text, {"x", "y"}).value({x, y}));
        CHECK(g.derivatives[0] == Approx(by_x).epsilon(1e-14).margin(1e-300));
        CHECK(g.derivatives[1] == Approx(by_y).epsilon(1e-14).margin(1e-300));
    };
    check("x*y+x/y", 3, 4, 4 + 0.25, 3 - 3.0 / 16);
    check("x^y", 2, 3, 12, 8 * std::log(2));
    check("x^2*y^0.5", -3, 4, -12, 9 * 0.25);
    check("sqrt(x)*log(y)", 4, 5, std::log(5) / 4, 2.0 / 5);
    check("exp(x*y)", 0.5, 2, 2 * std::exp(1), 0.5 * std::exp(1));
    check("sin(x)*cos(y)", 0.3, 0.7, std::cos(0.3) * std::cos(0.7), -std::sin(0.3) * std::sin(0.7));
    check("-(x-y)", 1, 2, -1, 1);
    check("x^2", 0, 0, 0, 0);
    check("x*x - y", 1e8, 1, 2e8, -1);
    CHECK_FALSE(std::isfinite(at("sqrt(x)", 0, 0).derivatives[0]));
    CHECK_FALSE(std::isfinite(at("log(x)", -1, 0).value));
}

TEST_CASE("many trials at once give what one at a time gives") {
    const auto model = Expression::parse("x*sin(y) - x^3/(1+y^2)", {"x", "y"});
    std::vector<double> x, y;
    for (int i = 0; i < 1000; ++i) {
        x.push_back(0.01 * i);
        y.push_back(3 - 0.02 * i);
    }
    std::vector<double> out(1000);
    model.values({x.data(), y.data()}, 1000, out.data());
    for (std::size_t i = 0; i < 1000; ++i) CHECK(out[i] == model.value({x[i], y[i]}));
}

TEST_CASE("unreadable models say where") {
    using Catch::Matchers::Contains;
    const auto complaint = [](const std::string& text) -> std::string {
        try {
            Expression::parse(text, {"theta", "ls"});
        } catch (const BadInput& error) {
            return error.what();
        }
        return "accepted";
    };
    CHECK_THAT(complaint(""), Contains("ends"));
    CHECK_THAT(complaint("1 +"), Contains("ends"));
    CHECK_THAT(complaint("(1"), Contains("closing bracket"));
    CHECK_THAT(complaint("1)"), Contains("operator"));
    CHECK_THAT(complaint("2 theta"), Contains("character 3") && Contains("operator"));
    CHECK_THAT(complaint("theta**2"), Contains("^"));
    CHECK_THAT(complaint("thetta"), Contains("did you mean theta"));
    CHECK_THAT(complaint("sqrt 2"), Contains("brackets"));
    CHECK_THAT(complaint("1 * / 2"), Contains("character 5"));
    CHECK_THAT(complaint("ls $ 2"), Contains("character 4"));
    CHECK_THAT(complaint("1e999"), Contains("number"));
    CHECK_THAT(complaint("."), Contains("number"));
    CHECK_THAT(complaint(std::string(100000, '(')), Contains("longer"));
    CHECK_THAT(complaint(std::string(5000, '(')), Contains("deeply"));
    CHECK_THAT(complaint(std::string(5000, '-') + "1"), Contains("deeply"));
    CHECK_THAT(complaint("\xff\xfe"), Contains("neither"));
}
