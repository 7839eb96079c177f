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
