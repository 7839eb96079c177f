// halfturn expect as a caller sees it: keys, exit status, messages.
#include <catch2/catch.hpp>

#include "run_halfturn.hpp"

using namespace halfturn::test;

namespace {

const std::string wheel = R"(
work = "out"
access = "past-spacer"
[bearing]
designation = "6902-2RS"
[seat_fit]
bore_mm = 27.985
bore_u_um = 3
[housing]
material = "6061-T6"
outside_diameter_mm = 36.4
shape = "shoulder-behind"
[condition]
surface = "dry"
)";
const std::string bench_rig_text = R"(
name = "bench"
[screw]
thread = "M8"
class = "8.8"
[press]
stiffness_N_per_mm = 18000
stiffness_u = 900
force_limit_N = 5000
)";

}  // namespace

TEST_CASE("expect prints the contract's keys") {
    const Bench bench;
    const auto job = bench.file("job.toml", wheel), rig = bench.file("rig.toml", bench_rig_text);
    const auto ran = bench.run("expect " + job + " --rig " + rig + " --json");
    INFO(ran.out);
    REQUIRE(ran.status == 0);
    const auto json = ran.json();
    const auto& band = json.at("expected").at("break_loose_N");
    CHECK(number(band.at("low")) > 0);
    CHECK(number(band.at("low")) < number(band.at("mid")));
    CHECK(number(band.at("mid")) < number(band.at("high")));
    for (const char* key : {"turns", "low_N", "mid_N", "high_N"})
        CHECK(json.at("expected").at("curve").at(0).as_object().contains(key));
    for (const char* key : {"interference_um", "pressure_MPa"})
        for (const char* edge : {"low", "mid", "high"}) CHECK(json.at(key).as_object().contains(edge));
    CHECK(number(json.at("loose_probability")) < 0.1);
    CHECK(json.at("widest_input").is_string());
    CHECK(json == bench.run("expect --json --rig " + rig + " " + job).json());
    CHECK(json != bench.run("expect --json --seed 9 --rig " + rig + " " + job).json());
    for (const auto& ground : json.at("rests_on").as_array())
        CHECK_FALSE(ground.at("basis").as_string().empty());
}

TEST_CASE("expect says in words what is missing and what is wrong") {
    const Bench bench;
    const auto job = bench.file("job.toml", wheel);
    const auto alone = bench.run("expect " + job);
    CHECK(alone.status == 0);
    CHECK(alone.out.find("pitch is not known") != std::string::npos);
    const auto bad = [&](const std::string& from, const std::string& to) {
        std::string text = wheel;
        text.replace(text.find(from), from.size(), to);
        return bench.run("expect " + bench.file("bad.toml", text));
    };
    for (const auto& [ran, says] : {std::pair{bad("6902-2RS", "6922"), "6902"},
                                    {bad("6061-T6", "6061-T9"), "6061-T6"},
                                    {bad("shoulder-behind", "shoulder"), "shoulder-behind"},
                                    {bad("27.985", "29.1"), "0.3 mm"},
                                    {bad("36.4", "27"), "outside_diameter_mm"},
                                    {bad("surface", "surfaces"), "surface"}}) {
        INFO(ran.out);
        CHECK(ran.status == 2);
        CHECK(ran.out.find("bad.toml") != std::string::npos);
        CHECK(ran.out.find(says) != std::string::npos);
    }
    CHECK(bench.run("expect").status == 2);
    CHECK(bench.run("expect /no/such/job.toml").status == 2);
    CHECK(bench.run("expect " + job + " --seed -1").status == 2);
}
