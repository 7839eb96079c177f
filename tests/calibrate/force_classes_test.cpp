// ISO 7500-1 and ISO 376 on constructed cases whose every number can be checked by hand.
#include "calibrate/force_classes.hpp"

#include <catch2/catch.hpp>
#include <string>

#include "calibrate/csv_readings.hpp"
#include "core/failure.hpp"

using namespace halfturn;
using namespace halfturn::calibrate;

namespace {

Class7500Result classify_7500(const std::string& text) {
    return class_7500(read_class_7500(CsvReadings::from_text(text, "f.csv")));
}

Class376Result classify_376(const std::string& text) {
    return class_376(read_class_376(CsvReadings::from_text(text, "f.csv")));
}

const std::string head_7500 =
    "# capacity_N = 5000\n# resolution_N = 1\n# zero_N = 0\nseries,direction,indicated_N,reference_N\n";

// Three rising readings at one point.
std::string point(const std::string& indicated, const std::string& a, const std::string& b,
                  const std::string& c) {
    return "1,up," + indicated + "," + a + "\n2,up," + indicated + "," + b + "\n3,up," + indicated + "," + c +
           "\n";
}

const std::string head_376 =
    "# capacity_reading = 2.0\n# zero_before = 0.00001\n# zero_after = 0.00013\n# degree = 3\n";
const std::string columns_376 = "force_N,X1,X2,X3,X4d,X5,X6d,Xa\n";

}  // namespace

TEST_CASE("ISO 7500-1: one point with everything") {
    const auto result = classify_7500(
        "# capacity_N = 5000\n# resolution_N = 1\n# zero_N = 4\nseries,direction,indicated_N,reference_N\n" +
        point("1000", "1004", "998", "1001") + "4,down,1000,1011\n");
    REQUIRE(result.points.size() == 1);
    const auto& p = result.points[0];
    CHECK(p.q_percent[0] == Approx(-0.398406374501992).epsilon(1e-12));
    CHECK(p.q_percent[1] == Approx(0.2004008016032064).epsilon(1e-12));
    CHECK(p.q_percent[2] == Approx(-0.0999000999000999).epsilon(1e-12));
    CHECK(p.b_percent ==
          Approx(0.5988071761051984).epsilon(1e-12));  // extremes, not first against last (0.2985)
    CHECK(p.v_percent.value() == Approx(-0.999000999000999).epsilon(1e-12));
    CHECK(p.a_percent == Approx(0.1).epsilon(1e-12));
    CHECK(result.f0_percent == Approx(0.08).epsilon(1e-12));
    CHECK(p.class_name == "1");
    CHECK(result.class_name == "1");
    CHECK(result.lowest_N.value() == 1000);
}

TEST_CASE("ISO 7500-1: the resolution limits the class, and a limit itself is inside") {
    const auto result = classify_7500(
        "# capacity_N = 5000\n# resolution_N = 0.6\n# zero_N = "
        "0\nseries,direction,indicated_N,reference_N\n" +
        point("100", "100", "100", "100") + "4,down,100,100\n");
    CHECK(result.points[0].a_percent == Approx(0.6));
    CHECK(result.points[0].class_name == "2");
    CHECK(result.class_name == "2");
    // Lower limits of 400, 200, 100 and 66.7 times the resolution.
    const auto class_at = [](const std::string& force) {
        return classify_7500(head_7500 + point(force, force, force, force)).points[0].class_name;
    };
    CHECK(class_at("400") == "0.5");
    CHECK(class_at("399") == "1");
    CHECK(class_at("200") == "1");
    CHECK(class_at("199") == "2");
    CHECK(class_at("100") == "2");
    CHECK(class_at("99") == "3");
    CHECK(class_at("67") == "3");
    CHECK(class_at("66") == "none");
}

TEST_CASE("ISO 7500-1: the worst value decides, not the mean") {
    // Errors of +1.2 and -1.2 % with mean nil: q alone is class 2, and b is 2.4 %, class 3.
    const auto result = classify_7500(head_7500 + point("2000", "2024.29", "1976.28", "2000"));
    CHECK(result.points[0].class_name == "3");
    const auto one_bad = classify_7500(head_7500 + point("2000", "2024", "2024", "2024"));
    CHECK(one_bad.points[0].class_name == "2");
    CHECK(one_bad.points[0].b_percent == Approx(0));
}

TEST_CASE("ISO 7500-1: zero counts against capacity") {
    const auto with_zero = [](const std::string& zero) {
        return classify_7500("# capacity_N = 5000\n# resolution_N = 1\n# zero_N = " + zero +
                             "\nseries,direction,indicated_N,reference_N\n" +
                             point("1000", "1000", "1000", "1000"));
    };
    CHECK(with_zero("2.5").class_name == "0.5");
    CHECK(with_zero("-2.6").class_name == "1");
    CHECK(with_zero("5").class_name == "1");
    CHECK(with_zero("-10").class_name == "2");
    CHECK(with_zero("15").class_name == "3");
    CHECK(with_zero("15.1").class_name == "none");
    CHECK(with_zero("-10").points[0].class_name == "0.5");
}

TEST_CASE("ISO 7500-1: lowest usable force, and from where each class holds") {
    const std::string good = point("1000", "1000", "1000", "1000") + point("3000", "3000", "3000", "3000") +
                             point("5000", "5000", "5000", "5000");
    auto result =
        classify_7500(head_7500 + good + point("50", "50", "50", "50") + point("250", "250", "252", "250"));
    REQUIRE(result.points.front().indicated_N == 50);
    CHECK(result.points.front().class_name == "none");
    CHECK(result.lowest_N.value() == 1000);
    CHECK(result.class_name == "0.5");
    REQUIRE(result.reach.size() == 2);
    CHECK(result.reach[0].name == "0.5");
    CHECK(result.reach[0].from_N == 1000);
    CHECK(result.reach[1].name == "1");
    CHECK(result.reach[1].from_N == 250);
    // 250 N is 5 % of capacity: additional, so it carries no worse class up. At 20 % it does.
    result = classify_7500(head_7500 + good + point("1001", "1001", "1011", "1001"));
    CHECK(result.class_name == "1");
    CHECK(result.lowest_N.value() == 1000);
    // An additional point of the same class carries it further down.
    result = classify_7500(head_7500 + good + point("500", "500", "500", "500") + point("50", "50", "50", "50"));
    CHECK(result.class_name == "0.5");
    CHECK(result.lowest_N.value() == 500);
    // Nothing at 20 % or above: what there is decides.
    result = classify_7500(head_7500 + point("500", "500", "506", "500"));
    CHECK(result.class_name == "2");
    CHECK(result.lowest_N.value() == 500);
    CHECK_FALSE(result.range_reached);
    // A bad point in the middle of the range leaves no class at all.
    result = classify_7500(head_7500 + good + point("2000", "2100", "2000", "2000"));
    CHECK(result.class_name == "none");
    CHECK(result.lowest_N.value() == 3000);
    // A bad highest point leaves no usable force.
    result = classify_7500(head_7500 + good + point("5200", "5000", "5200", "5200"));
    CHECK_FALSE(result.lowest_N);
    CHECK(result.class_name == "none");
}

TEST_CASE("ISO 7500-1: missing and muddled readings are refused with their line") {
    using Catch::Matchers::Contains;
    const std::string full =
        head_7500 + point("1000", "1000", "1000", "1000") + point("2000", "2000", "2000", "2000");
    CHECK_NOTHROW(classify_7500(full));
    CHECK_THROWS_WITH(classify_7500(head_7500 + "1,up,1000,1000\n2,up,1000,1000\n"),
                      Contains("f.csv:5:") && Contains("series 3"));
    CHECK_THROWS_WITH(classify_7500(head_7500 + "1,up,1000,\n"), Contains("f.csv:5:") && Contains("missing"));
    CHECK_THROWS_WITH(classify_7500(full + "4,down,2000,2001\n"), Contains("series 4"));
    CHECK_NOTHROW(classify_7500(full + "4,down,1000,1001\n"));  // the highest point is where the load turns
    CHECK_THROWS_WITH(classify_7500(full + "1,up,1000,1000\n"), Contains("f.csv:11:") && Contains("second"));
    CHECK_THROWS_WITH(classify_7500(full + "5,up,1000,1000\n"), Contains("series"));
    CHECK_THROWS_WITH(classify_7500(full + "3,down,1000,1000\n"), Contains("direction"));
    CHECK_THROWS_WITH(classify_7500(full + "1,sideways,1000,1000\n"), Contains("sideways"));
    CHECK_THROWS_WITH(classify_7500(head_7500 + "1,up,0,0\n"), Contains("above zero"));
    CHECK_THROWS_WITH(classify_7500("series,direction,indicated_N,reference_N\n1,up,1,1\n"),
                      Contains("capacity_N"));
}

TEST_CASE("ISO 376: constructed cases") {
    const auto a =
        classify_376(head_376 + columns_376 + "1000,0.40001,0.40003,0.40009,0.40029,0.39995,0.40011,0.4\n");
    REQUIRE(a.points.size() == 1);
    CHECK(a.points[0].b_percent == Approx(0.0349985).margin(5e-8));
    CHECK(a.points[0].b_repeat_percent == Approx(0.0049998).margin(5e-8));
    CHECK(a.points[0].fc_percent == Approx(0.0041667).margin(5e-8));
    CHECK(a.points[0].v_percent == Approx(0.0449969).margin(5e-8));
    CHECK(a.f0_percent == Approx(0.006).margin(1e-12));
    CHECK(a.class_name == "00");
    const auto b =
        classify_376(head_376 + columns_376 + "1000,0.40001,0.40003,0.40015,0.40035,0.39995,0.40011,0.4\n");
    CHECK(b.points[0].b_percent == Approx(0.0499954).margin(5e-8));
    CHECK(b.points[0].fc_percent == Approx(0.0091667).margin(5e-8));
    CHECK(b.points[0].v_percent == Approx(0.0449931).margin(5e-8));
    CHECK(b.class_name == "00");
    const auto d =
        classify_376("# capacity_reading = 2.0\n# zero_before = 0.00001\n# zero_after = 0.00061\n" +
                     columns_376 + "1000,0.40001,0.40003,0.40009,0.40029,0.39995,0.40011,0.4\n");
    CHECK(d.f0_percent == Approx(0.03).margin(1e-12));
    CHECK(d.class_name == "1");
    CHECK(d.points[0].class_name == "00");
    // A compression cell with falling output classifies the same.
    const auto mirrored =
        classify_376("# capacity_reading = -2.0\n# zero_before = -0.00001\n# zero_after = -0.00013\n" +
                     columns_376 + "1000,-0.40001,-0.40003,-0.40009,-0.40029,-0.39995,-0.40011,-0.4\n");
    CHECK(mirrored.points[0].b_percent == Approx(a.points[0].b_percent));
    CHECK(mirrored.points[0].v_percent == Approx(a.points[0].v_percent));
    CHECK(mirrored.class_name == "00");
}

TEST_CASE("ISO 376: the interpolation is fitted to the rotated mean") {
    // Readings exactly on a cubic leave nothing; the parabola then misses by what a cubic leaves over.
    const auto file = [](int degree) {
        std::string text = "# capacity_reading = 2.0\n# zero_before = 0\n# zero_after = 0\n# degree = " +
                           std::to_string(degree) + "\nforce_N,X1,X2,X3,X4d,X5,X6d\n";
        for (int i = 1; i <= 8; ++i) {
            const double f = i / 8.0, x = 2 * f + 0.004 * f * f * f;
            // X2 must not enter the fit, so it is off; X1, X3, X5 average to the cubic.
            const double row[] = {1000.0 * i, x, x * 1.00002, x * 1.0001, x * 1.0002, x * 0.9999, x};
            for (std::size_t k = 0; k < 7; ++k) text += (k ? "," : "") + std::to_string(row[k]);
            text += "\n";
        }
        return classify_376(text);
    };
    const auto cubic = file(3);
    for (const auto& p : cubic.points) {
        CHECK(p.fc_percent == Approx(0).margin(2e-4));  // to_string keeps six decimals
        CHECK(p.b_percent == Approx(0.02).margin(6e-4));
        CHECK(p.v_percent == Approx(0.01).margin(6e-4));
    }
    CHECK(cubic.coefficients.size() == 4);
    CHECK(cubic.class_name == "00");
    const auto straight = file(1);
    CHECK(straight.points[0].class_name == "none");  // the cubic part is 0.3 % of the lowest reading
    CHECK(straight.class_name == straight.points[0].class_name);
    CHECK(straight.reach.front().from_N > 1000);
}

TEST_CASE("ISO 376: missing readings and too few points are refused") {
    using Catch::Matchers::Contains;
    CHECK_THROWS_WITH(classify_376(head_376 + columns_376 + "1000,0.4,0.4,,0.4,0.4,0.4,0.4\n"),
                      Contains("f.csv:6: X3") && Contains("missing"));
    CHECK_THROWS_WITH(classify_376(head_376 + "force_N,X1,X2,X3,X4d,X5\n1000,0.4,0.4,0.4,0.4,0.4\n"),
                      Contains("X6d"));
    CHECK_THROWS_WITH(classify_376(head_376 + "force_N,X1,X2,X3,X4d,X5,X6d\n1000,0.4,0.4,0.4,0.4,0.4,0.4\n"),
                      Contains("degree 3"));
    CHECK_THROWS_WITH(
        classify_376(
            "# capacity_reading = 2.0\n# zero_before = 0\n# zero_after = 0\nforce_N,X1,X2,X3,X4d,X5,X6d\n"
            "1000,0.4,0.4,0.4,0.4,0.4,0.4\n"),
        Contains("# degree"));
    CHECK_THROWS_WITH(classify_376("# capacity_reading = 2.0\n# zero_before = 0\n# degree = 1\n" +
                                   columns_376 + "1000,0.4,0.4,0.4,0.4,0.4,0.4,0.4\n"),
                      Contains("zero_after"));
    CHECK_THROWS_WITH(
        classify_376("# capacity_reading = 2.0\n# zero_before = 0\n# zero_after = 0\n# degree = 4\n" +
                     columns_376 + "1000,0.4,0.4,0.4,0.4,0.4,0.4,0.4\n"),
        Contains("f.csv:4:"));
    CHECK_THROWS_WITH(classify_376(head_376 + columns_376 + "0,0.4,0.4,0.4,0.4,0.4,0.4,0.4\n"),
                      Contains("f.csv:6:"));
}
