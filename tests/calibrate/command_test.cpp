// The calibrate commands as a caller sees them: keys, exit status, messages.
#include <catch2/catch.hpp>
#include <cmath>
#include <string>

#include "run_halfturn.hpp"

using halfturn::test::Bench;
using halfturn::test::number;
using halfturn::test::Ran;

TEST_CASE("calibrate line prints the contract's keys") {
    const Bench bench;
    const std::string path = bench.file(
        "line.csv", "x,y,u_y\n1,3.3,0.5\n2,5.6,0.5\n3,7.1,0.5\n4,9.3,0.5\n5,10.7,0.5\n6,12.1,0.5\n");
    const Ran ran = bench.run("calibrate line " + path + " --json --at 3.5 --inverse 10.5 --u 0.5");
    REQUIRE(ran.status == 0);
    const auto json = ran.json();
    CHECK(number(json.at("coefficients").at(1)) == Approx(1.757142857143));
    CHECK(number(json.at("standard_uncertainties").at(0)) == Approx(0.465474668126));
    CHECK(number(json.at("covariance").at(0).at(1)) == Approx(-0.05));
    CHECK(number(json.at("chi2")) == Approx(1.664761904762));
    CHECK(json.at("dof") == 4);
    CHECK(json.at("lack_of_fit").is_null());
    CHECK(number(json.at("prediction").at("y")) == Approx(8.0166666667));
    CHECK(number(json.at("inverse").at("x")) == Approx(4.913279132791));
    CHECK(number(json.at("inverse").at("u")) == Approx(0.322035560129));
    CHECK(number(json.at("inverse").at("low")) < number(json.at("inverse").at("high")));
    const auto plain =
        bench
            .run("calibrate line " + bench.file("p.csv", "x,y\n1,1\n1,1.2\n2,2\n2,2.1\n3,2.9\n3,3.1\n") +
                 " --json")
            .json();
    CHECK(plain.at("chi2").is_null());
    CHECK(number(plain.at("lack_of_fit").at("F")) > 0);
    CHECK(plain.as_object().contains("residual_sd"));
    CHECK(plain.as_object().contains("r_squared"));
    CHECK(bench.run("calibrate line " + path + " --at -3").status ==
          0);  // negative values are values, not options
    CHECK(bench.run("calibrate line " + path + " --degree 9").status == 2);
    CHECK(bench.run("calibrate line " + path + " --u 1").status == 2);
    const Ran missing = bench.run("calibrate line " + bench.file("m.csv", "x,y\n1,2\n2,\n"));
    CHECK(missing.status == 2);
    CHECK_THAT(missing.out, Catch::Matchers::Contains("m.csv:3: y"));
}

TEST_CASE("calibrate class7500 and class376 print the contract's keys") {
    const Bench bench;
    const Ran rig =
        bench.run("calibrate class7500 --json " +
                  bench.file("rig.csv",
                             "# capacity_N = 5000\n# resolution_N = 1\n# zero_N = "
                             "4\nseries,direction,indicated_N,reference_N\n"
                             "1,up,1000,1004\n2,up,1000,998\n3,up,1000,1001\n4,down,1000,1011\n"));
    REQUIRE(rig.status == 0);
    const auto point = rig.json().at("points").at(0);
    CHECK(number(point.at("q_percent").at(0)) == Approx(-0.398406374501992));
    CHECK(number(point.at("b_percent")) == Approx(0.5988071761051984));
    CHECK(number(point.at("v_percent")) == Approx(-0.999000999000999));
    CHECK(number(point.at("a_percent")) == Approx(0.1));
    CHECK(point.at("class") == "1");
    CHECK(number(rig.json().at("f0_percent")) == Approx(0.08));
    CHECK(rig.json().at("class") == "1");
    CHECK(number(rig.json().at("lowest_N")) == 1000);
    const Ran reference = bench.run(
        "calibrate class376 --json " +
        bench.file(
            "ref.csv",
            "# capacity_reading = 2.0\n# zero_before = 0.00001\n# zero_after = 0.00013\n# degree = 3\n"
            "force_N,X1,X2,X3,X4d,X5,X6d,Xa\n1000,0.40001,0.40003,0.40009,0.40029,0.39995,0.40011,0.4\n"));
    REQUIRE(reference.status == 0);
    const auto p = reference.json().at("points").at(0);
    CHECK(number(p.at("force_N")) == 1000);
    CHECK(number(p.at("b_percent")) == Approx(0.0349985).margin(5e-8));
    CHECK(number(p.at("b_repeat_percent")) == Approx(0.0049998).margin(5e-8));
    CHECK(number(p.at("fc_percent")) == Approx(0.0041667).margin(5e-8));
    CHECK(number(p.at("v_percent")) == Approx(0.0449969).margin(5e-8));
    CHECK(reference.json().at("class") == "00");
    CHECK(bench.run("calibrate class376 " + bench.file("ref.csv", "force_N\n1\n")).status == 2);
}

TEST_CASE("calibrate budget prints the contract's keys and repeats itself") {
    const Bench bench;
    const std::string path = bench.file("b.toml",
                                        "model = \"a × b − sqrt(c)\"\n[[input]]\nname = \"a\"\nvalue = "
                                        "2\nhalf_width = 0.3\n[[input]]\nname = \"b\"\nvalue = 3.5\nu = 0.1\n"
                                        "dof = 4\n[[input]]\nname = \"c\"\nvalue = 4\nu = 0\n");
    const Ran ran = bench.run("calibrate budget --json --seed 3 " + path);
    REQUIRE(ran.status == 0);
    const auto json = ran.json();
    CHECK(number(json.at("y")) == 5);
    CHECK(number(json.at("u")) == Approx(std::sqrt(0.03 * 3.5 * 3.5 + 0.04)));
    CHECK(number(json.at("U")) == Approx(number(json.at("k")) * number(json.at("u"))));
    CHECK(number(json.at("dof_eff")) > 4);
    const auto mc = json.at("monte_carlo");
    CHECK(number(mc.at("mean")) == Approx(5).margin(0.01));
    CHECK(number(mc.at("low")) < 5);
    CHECK(number(mc.at("high")) > 5);
    CHECK(number(mc.at("trials")) == 1000000);
    CHECK(number(mc.at("u")) > 0);
    CHECK(json.at("contributions").as_array().size() == 3);
    CHECK(bench.run("calibrate budget --json --seed 3 " + path).out == ran.out);
    CHECK(bench.run("calibrate budget --json --seed 4 " + path).out != ran.out);
    CHECK(bench
              .run("calibrate budget " +
                   bench.file("b.toml", "model = \"a +\"\n[[input]]\nname = \"a\"\nvalue = 2\nu = 1\n"))
              .status == 2);
}

TEST_CASE("the rig's own calibrations run on typed readings") {
    const Bench bench;
    std::string force =
        "# capacity_N = 5000\n# resolution = 1\n# reference_u_percent = "
        "0.05\nindicated,reference_N,direction\n";
    std::string pull = "travel_mm,force_N\n", pitch = "# counts_per_turn = 600\ncounts,travel_mm\n",
                lag = "t_s,channel,value\n";
    for (int i = 1; i <= 10; ++i) {
        force += std::to_string(500 * i) + "," + std::to_string(505 * i + (i % 3 - 1)) + ",up\n";
        pull += std::to_string(0.02 * i) + "," + std::to_string(400 * i) + "\n";
        pitch += std::to_string(600 * i) + "," + std::to_string(1.25 * i) + "\n";
    }
    for (int i = 0; i < 100; ++i) {
        lag += std::to_string(i / 100.0) + ",force," + std::to_string(i > 50 ? 100 : 0) + "\n";
        lag += std::to_string(i / 100.0) + ",travel," + std::to_string(i > 60 ? 1 : 0) + "\n";
    }
    const auto f = bench.run("calibrate force --json " + bench.file("f.csv", force)).json();
    CHECK(f.at("degree") == 1);
    CHECK(number(f.at("coefficients").at(1)) == Approx(1.01).epsilon(0.002));
    CHECK(number(f.at("astm_e74").at("class_A_from_N")) > 0);
    CHECK(number(f.at("lowest_usable_N")) >= 500);
    CHECK(f.at("budget").at("contributions").as_array().size() == 8);
    const auto t = bench
                       .run("calibrate travel --json " +
                            bench.file("t.csv",
                                       "# resolution_mm = 0.01\n# limit_mm = "
                                       "0.03\nblock_mm,indicated_mm\n0,0\n10,10.01\n50,50\n100,100.01\n"))
                       .json();
    CHECK(number(t.at("partial_surface_contact_error_mm")) == Approx(0.01));
    CHECK(t.at("conformity") == "inside");
    CHECK(number(t.at("k")) < 1.99);
    const auto k = bench.run("calibrate stiffness --json " + bench.file("k.csv", pull)).json();
    CHECK(number(k.at("stiffness_N_per_mm")) == Approx(20000));
    CHECK(k.at("backlash_mm").is_null());
    const auto p = bench.run("calibrate pitch --json " + bench.file("p.csv", pitch)).json();
    CHECK(number(p.at("pitch_mm")) == Approx(1.25));
    CHECK(p.at("lost").as_array().empty());
    const auto l = bench
                       .run("calibrate lag --json --stiffness 20000 --pitch 1.25 --allowed 250 " +
                            bench.file("l.csv", lag))
                       .json();
    CHECK(number(l.at("channels").at(1).at("lag_s")) == Approx(0.1));
    CHECK(number(l.at("fastest_turns_per_s")) == Approx(0.1));
    for (const char* run : {"force f.csv", "travel t.csv", "stiffness k.csv", "pitch p.csv", "lag l.csv"}) {
        const std::string words = run;
        const auto space = words.find(' ');
        const Ran plain = bench.run("calibrate " + words.substr(0, space) + " " +
                                    (bench.folder / words.substr(space + 1)).string());
        INFO(plain.out);
        CHECK(plain.status == 0);
    }
    const Ran bad = bench.run("calibrate stiffness " + bench.file("bad.csv", "travel_mm,force_N\n1,2\n2,\n"));
    CHECK(bad.status == 2);
    CHECK_THAT(bad.out, Catch::Matchers::Contains("bad.csv:3:"));
    CHECK(bench
              .run("calibrate pitch " +
                   bench.file("few.csv", "# counts_per_turn = 600\ncounts,travel_mm\n1,2\n"))
              .status == 2);
}

TEST_CASE("calibrate daily sets the exit status") {
    const Bench bench;
    const std::string head = "# zero = 100\n# zero_limit = 5\nzero\n";
    CHECK(bench.run("calibrate daily " + bench.file("d.csv", head + "101\n")).status == 0);
    CHECK(bench.run("calibrate daily " + bench.file("d.csv", head + "101\n107\n")).status == 20);
    CHECK(
        bench.run("calibrate daily " + bench.file("d.csv", head + "101\n102\n101\n102\n101\n102\n101\n102\n"))
            .status == 10);
    const auto json = bench.run("calibrate daily --json " + bench.file("d.csv", head + "107\n")).json();
    CHECK(json.at("passed") == false);
    CHECK(json.at("findings").at(0).at("within_limit") == false);
    CHECK(json.at("advice").as_array().size() == 1);
}

TEST_CASE("a result is kept as a certificate, corrected by another, never changed") {
    const Bench bench;
    const std::string store = " --store " + (bench.folder / "s.db").string();
    const std::string pull =
        bench.file("k.csv", "travel_mm,force_N\n0.1,2000\n0.15,3000\n0.2,4000\n0.25,5000\n0.3,6000\n");
    const std::string keep = "calibrate stiffness " + pull + store +
                             " --keep --who A --for-rig 'bench 1' --reference 'load cell' --json";
    const Ran first = bench.run(keep + " --date 2024-05-31 --temperature 21.5");
    REQUIRE(first.status == 0);
    const std::string id(first.json().at("certificate").as_string());
    CHECK(id.rfind("stiffness-20240531-", 0) == 0);
    CHECK(first.json().at("head").as_string().size() == 64);
    CHECK(bench.run(keep + " --date 2024-05-31 --temperature 21.5").status == 2);  // the very same again
    CHECK(bench.run(keep + " --supersedes nothing").status == 2);
    CHECK(bench.run("calibrate stiffness " + pull + store + " --keep").status ==
          2);                                                                  // who, what, against what?
    CHECK(bench.run("calibrate stiffness " + pull + " --who A").status == 2);  // --who needs --keep
    const Ran second = bench.run(keep + " --supersedes " + id);
    REQUIRE(second.status == 0);
    CHECK(bench.run(keep + " --date 2024-06-30 --supersedes " + id).status == 2);  // superseded already
    const auto list = bench.run("calibrate certificates --json" + store).json().as_array();
    REQUIRE(list.size() == 2);
    CHECK(list[0].at("state") == "valid");
    CHECK(list[1].at("state") == "superseded");
    CHECK(list[1].at("superseded_by") == second.json().at("certificate"));
    const auto whole = bench.run("calibrate certificate --json " + id + store).json();
    CHECK(number(whole.at("temperature_C")) == 21.5);
    CHECK(whole.at("valid_until") == "2025-05-31");
    CHECK(number(whole.at("result").at("stiffness_N_per_mm")) == Approx(20000));
    CHECK(whole.at("readings").as_string().find("0.15,3000") != std::string::npos);
    CHECK(bench.run("calibrate certificate " + id + store).status == 0);
    CHECK(bench.run("calibrate certificate none" + store).status == 2);
    // The statement rests on what still holds.
    const auto statement = bench.run("calibrate statement --json --for-rig 'bench 1'" + store).json();
    const auto certificates = statement.at("configurations").at(0).at("certificates").as_array();
    REQUIRE(certificates.size() == 1);
    CHECK(certificates[0].at("id") == second.json().at("certificate"));
    CHECK(certificates[0].at("says").as_string().find("20000 N/mm") != std::string::npos);
    CHECK(statement.at("head").as_string().size() == 64);
    CHECK(bench.run("calibrate statement --for-rig 'bench 1'" + store).status == 0);
    CHECK(bench.run("calibrate statement --for-rig 'bench 2'" + store).status == 2);
}

namespace {

// A cell that swings by 0.05 % of the force per mm, highest at 90 degrees, and reads 0.1 % high beside its axis.
std::string beside_the_axis() {
    std::string text =
        "# resolution_N = 0.5\n# half_width = 0.1\n# reach_mm = 12\n# allowed_percent = "
        "1\nindicated_N,reference_N,offset_mm,angle_deg\n"
        "2001,2000,0,0\n2000.5,2000,0,0\n";
    for (int round = 0; round < 2; ++round) {
        for (const int deg : {0, 90, 180, 270}) {
            const double swing = 20 * 0.05 * 16 * std::sin(deg * 3.14159265358979 / 180) + 0.5 * round;
            text += std::to_string(2003 + swing) + ",2000,16," + std::to_string(deg) + "\n";
        }
        text += "2001,2000,0,0\n";
    }
    return text;
}

}  // namespace

TEST_CASE("stray loads run on typed readings, are kept, and go into the statement") {
    const Bench bench;
    const std::string store = " --store " + (bench.folder / "s.db").string();
    const std::string file = bench.file("e.csv", beside_the_axis());
    const auto json = bench.run("calibrate eccentric --json " + file).json();
    CHECK(number(json.at("percent_per_mm")) == Approx(0.05).epsilon(0.01));
    CHECK(number(json.at("direction_deg")) == Approx(90).margin(1));
    CHECK(number(json.at("shift_percent")) == Approx(0.12).margin(0.01));
    CHECK(number(json.at("swing_percent")) == Approx(0.6).epsilon(0.01));
    CHECK(number(json.at("reach_mm")) == 12);
    CHECK(json.at("conformity") == "inside");
    CHECK(json.at("places").as_array().size() == 4);
    CHECK(json.at("budget").at("contributions").as_array().size() == 5);
    const std::string keep = " --keep --json --who A --for-rig 'bench 1' --reference 'reference cell'" + store;
    const Ran kept = bench.run("calibrate eccentric " + file + keep);
    REQUIRE(kept.status == 0);
    const std::string id(kept.json().at("certificate").as_string());
    CHECK(id.rfind("eccentric-", 0) == 0);
    const Ran pdf = bench.run("calibrate certificate " + id + store + " --html " + (bench.folder / "c.html").string());
    CHECK(pdf.status == 0);
    const std::string push = bench.file("s.csv", "indicated_N,reference_N,side_N,angle_deg\n3000,3000,0,0\n3000.1,3000,0,0\n3000,3000,0,0\n"
                                                 "3002,3000,200,0\n3000,3000,200,90\n2998,3000,200,180\n3000,3000,200,270\n3002.1,3000,200,0\n");
    CHECK(number(bench.run("calibrate side-load " + push + keep).json().at("N_per_N")) == Approx(0.01).epsilon(0.02));
    const std::string twist = bench.file(
        "t.csv",
        "indicated_N,reference_N,torque_Nm\n3000,3000,0\n3000.1,3000,0\n3000,3000,0\n3006,3000,3\n2994,3000,-3\n3006,3000,3\n");
    CHECK(number(bench.run("calibrate torsion " + twist + keep).json().at("N_per_Nm")) == Approx(2).epsilon(0.02));
    // Together with a force certificate: each share of the force is a part of what the force is worth.
    std::string force = "# capacity_N = 5000\n# resolution = 1\nindicated,reference_N\n";
    for (int i = 1; i <= 10; ++i) force += std::to_string(500 * i) + "," + std::to_string(500 * i + (i % 3 - 1)) + "\n";
    REQUIRE(bench.run("calibrate force " + bench.file("f.csv", force) + keep).status == 0);
    const auto statement = bench.run("calibrate statement --json --for-rig 'bench 1'" + store).json().at("configurations").at(0);
    CHECK(statement.at("certificates").as_array().size() == 4);
    const auto budget = boost::json::serialize(statement);
    for (const char* part : {"\"eccentric\"", "\"side_load\"", "\"torsion\""}) CHECK_THAT(budget, Catch::Matchers::Contains(part));
    CHECK(bench.run("calibrate eccentric " + push).status == 2);
}

TEST_CASE("a rig's channel that names an eccentric-load certificate gets it, and nothing else will do") {
    const Bench bench;
    const std::string store = " --store " + (bench.folder / "s.db").string();
    const auto kept = [&](const std::string& more) {
        return std::string(bench.run("calibrate eccentric " + bench.file("e.csv", beside_the_axis()) + " --keep --json --who A --for-rig bench --reference R" + store + more)
                               .json()
                               .at("certificate")
                               .as_string());
    };
    const auto rig = [&](const std::string& id, const std::string& more = "") {
        return bench.file("rig.toml",
                          "name = \"bench\"\n[[port]]\nname = \"force\"\nformat = \"hdr-comma\"\n[[channel]]\nport = "
                          "\"force\"\nmeasures = \"force\"\n"
                          "calibration = [0, 1]\neccentric_calibration = \"" +
                              id + "\"\n" + more);
    };
    const std::string job = bench.file("job.toml", bench.run("example job").out);
    std::string log = "t_s,force_N,turns\n";
    for (int i = 0; i < 60; ++i) log += std::to_string(i / 10.0) + "," + std::to_string(i) + "," + std::to_string(i / 100.0) + "\n";
    const auto judge = [&](const std::string& rig_file) {
        return bench.run("judge " + bench.file("log.csv", log) + " --job " + job + " --rig " + rig_file + store);
    };
    const std::string good = kept(""), old = kept(" --date 2020-01-01");
    // The job ended before release, so look closer; the certificate has nothing to say about that.
    const Ran valid = judge(rig(good));
    CHECK(valid.status == 10);
    CHECK(valid.out.find("eccentric-load certificate") == std::string::npos);
    CHECK_THAT(judge(rig("eccentric-20200101-00000000")).out, Catch::Matchers::Contains("is not kept"));
    CHECK(judge(rig(good, "eccentric_load_calibrated = true\n")).status == 2);
    const Ran expired = judge(rig(old));
    CHECK(expired.status == 10);
    CHECK_THAT(expired.out, Catch::Matchers::Contains("expired on 2021-01-01"));
}

TEST_CASE("odd tables are refused in words, not passed over") {
    const Bench bench;
    const auto says = [&](const std::string& command, const std::string& text, const std::string& words) {
        const Ran ran = bench.run("calibrate " + command + " " + bench.file("odd.csv", text));
        INFO(text << ran.out);
        CHECK(ran.status == 2);
        CHECK_THAT(ran.out, Catch::Matchers::Contains(words));
    };
    says("line", "x,y,U_y\n1,2,0.1\n2,3,0.1\n3,4,0.1\n", "\"U_y\" looks like u_y");
    says("line", "x,y,uy\n1,2,0.1\n2,3,0.1\n3,4,0.1\n", "\"uy\" looks like u_y");
    says("line", "X,Y\n1,2\n2,3\n", "is it the one named \"X\"?");
    says("line", "x,y # mm\n1,2\n2,3\n", "the column y is missing; add it");
    says("line", "x,y\n1e-300,1\n2,3\n3,4\n", "which no instrument reads");
    says("line", "x,y,u_y\n1,2,1e-20\n2,3,1e20\n3,4,1e20\n", "their u_y too far apart");
    const std::string head = "# capacity_reading = 2.0\n# zero_before = 0\n# zero_after = 0\n# degree = 1\n",
                      columns = "force_N,X1,X2,X3,X4d,X5,X6d\n";
    const std::string rows = "500,0.5,0.5,0.5,0.5,0.5,0.5\n1000,1,1,1,1,1,1\n2000,2,2,2,2,2,2.001\n";
    CHECK(bench.run("calibrate class376 " + bench.file("odd.csv", head + columns + rows)).status == 0);
    says("class376", "# capacity_reading = 0.2\n# zero_before = 0\n# zero_after = 0\n# degree = 1\n" + columns + rows,
         "lies above # capacity_reading");
    says("class376", "# capacity_reading = -2\n# zero_before = 0\n# zero_after = 0\n# degree = 1\n" + columns + rows, "has not the sign");
    says("class376", head + "force_N,X1,X2,X3,X4d,X5\n1,1,1,1,1,1\n", "the column X6d is missing; add it");
    says("class376", head + "force_N,X1,X2,X3,X4d,X5,X6d,xa\n1,1,1,1,1,1,1,1\n", "\"xa\" looks like Xa");
    says("class376", "# capacity_reading = 2.0\n# zero_before = 0\n# zero_after = 0\n# Degree = 1\n" + columns + rows,
         "# Degree looks like # degree");
    const std::string input = "[[input]]\nname = \"a\"\nvalue = 2\nu = 0.1\n";
    const auto with = [&](const std::string& from, const std::string& to) {
        std::string text = input;
        return text.replace(text.find(from), from.size(), to);
    };
    says("budget", "model = \"a\"\n" + with("= 2", "= nan"), "but is nan");
    says("budget", "model = \"a\"\n" + with("0.1", "inf"), "but is inf");
    says("budget", "model = \"ln(a)\"\n" + input, "log(x) is the natural logarithm");
    says("budget", "model = \"a\"\n" + with("\"a\"", "\"\""), "input.name must be a letter");
    says("budget", "model = \"a\"\n" + with("\"a\"", "\"1a\""), "input.name must be a letter");
    const auto dof =
        bench.run("calibrate budget --json --trials 10000 " + bench.file("b.toml", "model = \"a\"\n" + input + "dof = inf\n"))
            .json();
    CHECK(dof.at("dof_eff").is_null());
    CHECK(number(dof.at("k")) == Approx(1.959963984540054));
    const auto tiny = bench
                          .run("calibrate budget --json --trials 10000 " +
                               bench.file("b.toml", "model = \"a\"\n[[input]]\nname = \"a\"\nvalue = 1e-200\nu = 1e-201\n"))
                          .json();
    CHECK(number(tiny.at("u")) == Approx(1e-201));
    // Readings without scatter: both ends of the interval are there.
    const auto line = bench.run("calibrate line --json --inverse 5 " + bench.file("l.csv", "x,y\n1,2\n2,4\n3,6\n4,8\n")).json();
    CHECK(number(line.at("inverse").at("low")) == Approx(2.5));
    CHECK(number(line.at("inverse").at("high")) == Approx(2.5));
}
