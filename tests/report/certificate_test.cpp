// Certificates and accuracy statements on paper, read back by others' parsers; their numbers against hand arithmetic.
#include <catch2/catch.hpp>

#include <cmath>
#include <map>

#include "core/sha256.hpp"
#include "report/chart.hpp"
#include "report/reading.hpp"
#include "sheet/html.hpp"

using namespace halfturn;
using halfturn::test::Bench;
using halfturn::test::number;
using halfturn::test::Ran;
using halfturn::test::read_html;
using halfturn::test::read_pdf;
using halfturn::test::says;

namespace {

struct Calibrated : Bench {
    std::string store = " --store '" + (folder / "s.db").string() + "'";
    std::string kept(const std::string& kind, const std::string& csv, const std::string& more = {}) const {
        const Ran ran = run("calibrate " + kind + " '" + file(kind + ".csv", csv) +
                            "' --json --keep --who 'Ada L.' --for-rig 'bench 1' --reference 'ref 7'" +
                            " --configuration 'drift 18, span 120'" + more + store);
        if (ran.status != 0) throw std::runtime_error(ran.out);
        return std::string(ran.json().at("certificate").as_string());
    }
    std::string path(const char* name) const { return (folder / name).string(); }
};

std::string force_csv(int rows) {
    std::string text = "# capacity_N = 5000\n# resolution = 1\n# reference_u_percent = 0.05\nindicated,reference_N,direction\n";
    for (int i = 1; i <= rows; ++i)
        text += std::to_string(5000 * i / rows) + "," + std::to_string(5050.0 * i / rows + (i % 3 - 1)) + ",up\n";
    return text;
}

}  // namespace

TEST_CASE("a certificate on paper: everything that was kept, table heads again on each page") {
    const Calibrated bench;
    const std::string id = bench.kept("force", force_csv(150), " --serial 'LC 4711' --temperature 21.5 --reference-certificate 'DKD 12'");
    const std::string run = "calibrate certificate " + id + bench.store;
    REQUIRE(bench.run(run + " --pdf '" + bench.path("c.pdf") + "' --html '" + bench.path("c.html") + "'").status == 0);
    const auto pages = read_pdf(bench.path("c.pdf"));
    REQUIRE(pages.size() >= 4);
    std::string paper;
    for (const auto& page : pages) paper += page;
    std::string json = bench.run(run + " --json").out;
    json.pop_back();  // its line end
    const auto whole = boost::json::parse(json);
    for (const std::string& what : {std::string("Ada L."), std::string("LC 4711"), std::string("DKD 12"), std::string("21.5 °C"),
                                    std::string("drift 18, span 120"), std::string("Covariance"), std::string("Decision rule"),
                                    std::string("150"), hex(sha256(json)).substr(0, 40)}) {
        INFO(what);
        CHECK_THAT(paper, Catch::Matchers::Contains(what));
    }
    // The coefficients stand there with all their digits.
    const auto& coefficient = whole.at("result").at("coefficients").at(1);
    CHECK(paper.find(boost::json::serialize(coefficient).substr(0, 6)) != std::string::npos);
    std::size_t heads = 0;
    for (const auto& page : pages) heads += page.find("reference_N") != std::string::npos;
    CHECK(heads >= 2);
    const auto page = read_html(bench.path("c.html"));
    CHECK(page.at("problems").as_array().empty());
    CHECK(says(page, "LC 4711"));
    CHECK(bench.run(run + " --pdf c.txt").status == 2);
    // Superseded: said on its face.
    const std::string newer = bench.kept("force", force_csv(12), " --supersedes " + id);
    REQUIRE(bench.run(run + " --pdf '" + bench.path("c.pdf") + "' --letter").status == 0);
    CHECK_THAT(read_pdf(bench.path("c.pdf"))[0], Catch::Matchers::Contains("Superseded by " + newer));
}

TEST_CASE("each kind of certificate goes on paper whole") {
    const Calibrated bench;
    std::string pull = "travel_mm,force_N\n", pitch = "# counts_per_turn = 600\ncounts,travel_mm\n", lag = "t_s,channel,value\n";
    for (int i = 1; i <= 10; ++i) {
        pull += std::to_string(0.02 * i) + "," + std::to_string(400 * i) + "\n";
        pitch += std::to_string(600 * i) + "," + std::to_string(1.25 * i + 0.001 * (i % 3)) + "\n";
    }
    for (int i = 0; i < 100; ++i) {
        lag += std::to_string(i / 100.0) + ",force," + std::to_string(i < 50 ? 0 : i > 60 ? 100 : 10 * (i - 50)) + "\n";
        lag += std::to_string(i / 100.0) + ",travel," + std::to_string(i < 55 ? 0.0 : i > 65 ? 1.0 : 0.1 * (i - 55)) + "\n";
    }
    const std::string class7500 =
        "# capacity_N = 5000\n# resolution_N = 1\n# zero_N = 4\nseries,direction,indicated_N,reference_N\n"
        "1,up,1000,1004\n2,up,1000,998\n3,up,1000,1001\n4,down,1000,1011\n";
    const std::string class376 =
        "# capacity_reading = 2.0\n# zero_before = 0.00001\n# zero_after = 0.00013\nforce_N,X1,X2,X3,X4d,X5,X6d,Xa\n"
        "1000,0.40001,0.40003,0.40009,0.40029,0.39995,0.40011,0.4\n";
    const std::string travel = "# resolution_mm = 0.01\n# limit_mm = 0.03\nblock_mm,indicated_mm\n0,0\n10,10.01\n50,50\n100,100.01\n";
    // The effects of loads beside the axis, from the side and of a torque, each on a round 2000 N.
    const std::string eccentric =
        "# allowed_percent = 1\nindicated_N,reference_N,offset_mm,angle_deg\n2000,2000,0,0\n2001,2000,0,0\n2000,2000,0,0\n"
        "2008,2000,10,0\n2001,2000,10,90\n1993,2000,10,180\n2000,2000,10,270\n";
    const std::string side =
        "# allowed_percent = 1\nindicated_N,reference_N,side_N,angle_deg\n2000,2000,0,0\n2001,2000,0,0\n2000,2000,0,0\n"
        "2004,2000,100,0\n2001,2000,100,90\n1997,2000,100,180\n2000,2000,100,270\n";
    const std::string torsion =
        "# allowed_percent = 1\nindicated_N,reference_N,torque_Nm\n2000,2000,0\n2001,2000,0\n2000,2000,0\n2006,2000,4\n1995,2000,-4\n2005,2000,4\n";
    const std::vector<std::pair<std::string, std::string>> all = {
        {"force", force_csv(10)}, {"travel", travel},     {"stiffness", pull},      {"pitch", pitch},    {"lag", lag},
        {"class7500", class7500}, {"class376", class376}, {"eccentric", eccentric}, {"side-load", side}, {"torsion", torsion}};
    for (const auto& [kind, csv] : all) {
        INFO(kind);
        const std::string id = bench.kept(kind, csv, kind == "lag" ? " --stiffness 20000 --pitch 1.25 --allowed 250" : "");
        REQUIRE(bench.run("calibrate certificate " + id + " --html '" + bench.path("c.html") + "'" + bench.store).status == 0);
        const auto page = read_html(bench.path("c.html"));
        CHECK(page.at("problems").as_array().empty());
        CHECK(says(page, "What was found"));
        CHECK_FALSE(says(page, "can't be read"));
        const std::map<std::string, std::string> units = {{"eccentric", "%/mm"}, {"side-load", "N/N"}, {"torsion", "N/Nm"}};
        if (units.count(kind)) CHECK(says(page, units.at(kind)));
    }

    // The statement rests on them: 20000 N/mm * 1.25 mm * 0.05 turn/s over the force's rate is what a reading may hide.
    const std::string statement = "calibrate statement --for-rig 'bench 1' --speed 0.05" + bench.store;
    const auto json = bench.run(statement + " --json").json();
    const auto& one = json.at("configurations").at(0);
    CHECK(one.at("configuration") == "drift 18, span 120");
    CHECK(one.at("missing").as_array().empty());
    const double rate =
        number(bench.run("calibrate lag --json '" + bench.path("lag.csv") + "'").json().at("channels").at(0).at("updates_per_s"));
    const double hidden = 20000 * 1.25 * 0.05 / rate;
    CHECK(number(one.at("hidden_N")) == Approx(hidden).epsilon(1e-3));
    // At rest, to the certificate's own uncertainty are added in squares loads beside the axis (once per turn: arcsine, GUM 4.3.5
    // and H.1), from the side and of a torque (rectangular); turning, the gap's ± half a step (rectangular) too.
    const auto& top = one.at("forces").as_array().back();
    const auto force = bench.run("calibrate force --json '" + bench.path("force.csv") + "'").json().at("uncertainty").as_array().back();
    const auto& budget = one.at("force_budget");
    const auto stray_N = [&](const std::string& kind) {
        return number(bench.run("calibrate " + kind + " --json '" + bench.path((kind + ".csv").c_str()) + "'")
                          .json()
                          .at("whole_percent")) /
               100 * number(top.at("force_N"));
    };
    const double at_rest_u = std::sqrt(std::pow(number(force.at("u_N")), 2) + std::pow(stray_N("eccentric"), 2) / 2 +
                                       std::pow(stray_N("side-load"), 2) / 3 + std::pow(stray_N("torsion"), 2) / 3);
    CHECK(number(top.at("at_rest_U_N")) >= 0.999 * 1.96 * at_rest_u);
    CHECK(number(top.at("at_rest_U_N")) <= 1.001 * number(force.at("k")) * at_rest_u);
    const double u = std::hypot(at_rest_u, hidden / 2 / std::sqrt(3.0));
    CHECK(number(budget.at("u")) == Approx(u).epsilon(1e-3));
    CHECK(number(budget.at("y")) == Approx(number(top.at("force_N")) + hidden / 2).epsilon(1e-4));
    CHECK(number(top.at("turning_U_N")) == Approx(number(budget.at("U"))));
    CHECK(number(one.at("turn_budget").at("U")) > 0);
    const Ran paper = bench.run(statement + " --pdf '" + bench.path("s.pdf") + "' --html '" + bench.path("s.html") + "'");
    REQUIRE(paper.status == 0);
    CHECK(read_html(bench.path("s.html")).at("problems").as_array().empty());
    const auto pages = read_pdf(bench.path("s.pdf"));
    CHECK_THAT(pages[0], Catch::Matchers::Contains("Accuracy of bench 1") && Catch::Matchers::Contains("0.05"));
}

TEST_CASE("what is missing from a statement is named, never guessed") {
    const Calibrated bench;
    bench.kept("force", force_csv(10));
    const auto one = bench.run("calibrate statement --json --for-rig 'bench 1'" + bench.store).json().at("configurations").at(0);
    CHECK(one.at("missing").as_array().size() == 6);
    CHECK(one.at("turn_budget").is_null());
    CHECK(one.at("forces").at(0).at("turning_U_N").is_null());
    CHECK(number(one.at("hidden_N")) == 0);
}

TEST_CASE("markup in a text is text") {
    CHECK(sheet::html_text("<a href=\"x\" b='y'>&") == "&lt;a href=&quot;x&quot; b=&#39;y&#39;&gt;&amp;");
}

TEST_CASE("an axis has round steps") {
    CHECK(report::round_step(1000, 5) == Approx(200));
    CHECK(report::round_step(0.37, 8) == Approx(0.05));
    CHECK(report::round_step(7, 6) == Approx(2));
    CHECK(report::round_step(0, 5) == 1);
    CHECK(report::round_step(std::nan(""), 5) == 1);
}
