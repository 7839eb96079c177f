// The commands tables and fit as a caller sees them: keys, exit status, messages.
#include <catch2/catch.hpp>

#include "run_halfturn.hpp"

using namespace halfturn::test;

namespace {

const std::string ring_in_hub = R"(
inner_bore_mm = 25.4
interface_mm = 28
outer_mm = 40
inner_E_GPa = 208
inner_nu = 0.3
outer_E_GPa = 68.9
outer_nu = 0.33
)";

}  // namespace

TEST_CASE("tables prints the contract's keys") {
    const Bench bench;
    const auto hole = bench.run("tables hole N7 28 --json").json();
    CHECK(number(hole.at("lower_um")) == -28);
    CHECK(number(hole.at("upper_um")) == -7);
    CHECK(hole.at("source").as_string().find("ISO 286") != std::string::npos);
    CHECK(number(bench.run("tables shaft k5 20 --json").json().at("upper_um")) == 11);
    const auto bearing = bench.run("tables bearing 6902 --json").json();
    CHECK(bearing == bench.run("tables bearing 61902 --json").json());
    for (const auto& [key, value] :
         {std::pair{"d_mm", 15.0}, {"D_mm", 28.0}, {"B_mm", 7.0}, {"r_min_mm", 0.3}})
        CHECK(number(bearing.at(key)) == value);
    CHECK(number(bearing.at("C0_N")) > 0);
    CHECK(bearing.at("C0_source").is_string());
    const auto thread = bench.run("tables thread M8 --json").json();
    CHECK(number(thread.at("pitch_mm")) == 1.25);
    CHECK(number(thread.at("stress_area_mm2")) == 36.6);
    CHECK(number(thread.at("proof_N").at("8.8")) == 21200);
    CHECK(thread.as_object().contains("d2_mm"));
    CHECK(thread.as_object().contains("d3_mm"));
    CHECK(number(bench.run("tables material 6061-T6 --json").json().at("E_GPa")) == 68.9);
    CHECK(number(bench.run("tables clearance CN 17 --json").json().at("upper_um")) == 18);
    CHECK(number(bench.run("tables tolerance outer-diameter Normal 28 --json").json().at("lower_um")) == -9);
    CHECK(number(bench.run("tables grade IT7 28 --json").json().at("tolerance_um")) == 21);
    CHECK(bench.run("tables bearing list --json").json().as_array().size() == 49);
}

TEST_CASE("tables refuses what it does not know, with the nearest name") {
    const Bench bench;
    for (const auto& [arguments, near] : {std::pair{"holl N7 28", "hole"},
                                          {"hole N8x 28", "N8"},
                                          {"shaft K5 20", "k5"},
                                          {"bearing 61992", "61902"},
                                          {"thread M8x1.5", "M8"},
                                          {"material 6061T7", "6061-T6"},
                                          {"clearance C8 17", "C"},
                                          {"tolerance outer-diametr Normal 28", "outer-diameter"},
                                          {"tolerance bore Normall 20", "Normal"}}) {
        const auto ran = bench.run(std::string("tables ") + arguments);
        INFO(arguments << ": " << ran.out);
        CHECK(ran.status == 2);
        CHECK(ran.out.find(near) != std::string::npos);
    }
    for (const char* arguments :
         {"hole N7", "hole N7 x", "hole N7 -5", "hole N7 900", "hole", "shaft k5 20 30", ""})
        CHECK(bench.run(std::string("tables ") + arguments).status == 2);
}

TEST_CASE("fit prints the contract's keys and inverts itself") {
    const Bench bench;
    const auto path = bench.file(
        "fit.toml",
        ring_in_hub +
            "interference_diametral_um = 13\nlength_mm = 7\nfriction = 0.12\nouter_yield_MPa = 255\n");
    const auto ran = bench.run("fit " + path);  // JSON without --json too
    REQUIRE(ran.status == 0);
    const auto json = ran.json();
    for (const char* key :
         {"pressure_MPa", "interference_diametral_um", "axial_force_N", "torque_Nm", "inner_hoop_at_bore_MPa",
          "inner_hoop_at_interface_MPa", "outer_hoop_at_interface_MPa", "outer_hoop_at_outside_MPa",
          "inner_von_mises_max_MPa", "outer_von_mises_max_MPa", "inner_bore_change_um",
          "interface_change_inner_um", "interface_change_outer_um", "outer_change_um", "yields"})
        CHECK(json.as_object().contains(key));
    CHECK(number(json.at("pressure_MPa")) == Approx(4.87497348039));
    CHECK(json.at("yields") == false);
    CHECK(json == bench.run("fit --json " + path).json());
    const auto radial = bench.file("radial.toml", ring_in_hub + "interference_radial_um = 6.5\n");
    CHECK(number(bench.run("fit " + radial).json().at("pressure_MPa")) == number(json.at("pressure_MPa")));
    CHECK(bench.run("fit " + radial).json().at("axial_force_N").is_null());
    CHECK(bench.run("fit " + radial).json().at("yields").is_null());
    const auto inverse = bench.file("inverse.toml", ring_in_hub + "pressure_MPa = 4.87497348039\n");
    CHECK(number(bench.run("fit " + inverse).json().at("interference_diametral_um")) == Approx(13));
    CHECK(bench.run("fit --text " + path).out.find("contact pressure") != std::string::npos);
}

TEST_CASE("fit refuses what can't be, naming line and key") {
    const Bench bench;
    const struct {
        const char* extra;
        const char* says;
    } cases[] = {
        {"", "exactly one"},
        {"pressure_MPa = 3\ninterference_diametral_um = 5\n", "exactly one"},
        {"interference_um = 5\n", "interference"},
        {"interference_diametral_um = \"much\"\n", "interference_diametral_um"},
        {"interference_diametral_um = nan\n", "interference_diametral_um"},
        {"interference_diametral_um = 5\ntemperature_C = 80\n", "alpha"},
        {"interference_diametral_um = 5\nfriction = -1\n", "friction"},
    };
    for (const auto& c : cases) {
        const auto ran = bench.run("fit " + bench.file("bad.toml", ring_in_hub + c.extra));
        INFO(c.extra << ran.out);
        CHECK(ran.status == 2);
        CHECK(ran.out.find(c.says) != std::string::npos);
    }
    CHECK(
        bench.run("fit " + bench.file("order.toml", "inner_bore_mm = 30\ninterface_mm = 28\nouter_mm = 40\n"))
            .status == 2);
    CHECK(bench.run("fit /no/such/file.toml").status == 2);
    CHECK(bench.run("fit").status == 2);
}
