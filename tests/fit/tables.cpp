// Every cell here stands in at least two published tables that agree; the files beside this one name them.
#include <catch2/catch.hpp>

#include "core/failure.hpp"
#include "fit/bearing_tolerances.hpp"
#include "fit/bearings.hpp"
#include "fit/csv.hpp"
#include "fit/iso286.hpp"
#include "fit/materials.hpp"
#include "fit/threads.hpp"

using namespace halfturn;
using namespace halfturn::fit;
using halfturn::test::read_csv;

TEST_CASE("ISO 286 limit deviations are those of the published tables") {
    const auto rows = read_csv("iso286_limits.csv");
    REQUIRE(rows.size() == 96);
    for (const auto& row : rows) {
        const std::string name = row.text("class");
        const double over = row.must("over_mm"), incl = row.must("incl_mm");
        const Feature feature = row.text("feature") == "hole" ? Feature::hole : Feature::shaft;
        for (const double size : {over + 0.001, (over + incl) / 2, incl}) {
            INFO(name << " at " << size);
            const auto cell = limits(feature, name, size);
            CHECK(cell.lower_um == row.must("lower_um"));
            CHECK(cell.upper_um == row.must("upper_um"));
        }
    }
}

// From a tool maker's printed table of hole tolerances (J6 to JS9 over 18 to 120 mm) and the usual shaft
// tables of JIS B 0401-2, which is identical with ISO 286-2: cells that the delta rule or the split at 65 mm
// must bring out.
TEST_CASE("ISO 286 cells that the rules must bring out") {
    struct Cell {
        const char* name;
        double size, lower, upper;
    };
    const Cell cells[] = {
        {"J6", 25, -5, 8},     {"J7", 25, -9, 12},     {"J8", 25, -13, 20},  {"K6", 25, -11, 2},
        {"K7", 25, -15, 6},    {"K8", 25, -23, 10},    {"M6", 25, -17, -4},  {"M7", 25, -21, 0},
        {"M8", 25, -29, 4},    {"N6", 25, -24, -11},   {"N7", 25, -28, -7},  {"N8", 25, -36, -3},
        {"R7", 25, -41, -20},  {"JS6", 25, -6.5, 6.5}, {"JS9", 25, -26, 26}, {"J7", 40, -11, 14},
        {"K6", 40, -13, 3},    {"M8", 40, -34, 5},     {"N6", 40, -28, -12}, {"N8", 40, -42, -3},
        {"R7", 40, -50, -25},  {"R7", 60, -60, -30},   {"R7", 70, -62, -32}, {"R7", 90, -73, -38},
        {"R7", 110, -76, -41}, {"K6", 60, -15, 4},     {"M8", 60, -41, 5},   {"N6", 60, -33, -14},
        {"N8", 60, -50, -4},   {"JS8", 60, -23, 23},   {"k6", 25, 2, 15},    {"m5", 25, 8, 17},
        {"n6", 25, 15, 28},    {"p6", 40, 26, 42},     {"r6", 25, 28, 41},   {"k5", 8, 1, 7},
        {"k6", 8, 1, 10},      {"m5", 8, 6, 12},       {"n6", 8, 10, 19},    {"p6", 8, 15, 24},
        {"js5", 15, -4, 4},    {"js6", 15, -5.5, 5.5}, {"g5", 40, -20, -9},  {"h8", 40, -39, 0},
        {"h9", 10, -36, 0},    {"r6", 60, 41, 60},     {"m6", 70, 11, 30},
    };
    for (const auto& cell : cells) {
        INFO(cell.name << " at " << cell.size);
        const auto found = limits(cell.name, cell.size);
        CHECK(found.lower_um == cell.lower);
        CHECK(found.upper_um == cell.upper);
    }
}

TEST_CASE("ISO 286 standard tolerances, as printed and near the defining formula") {
    for (const auto& row : read_csv("iso286_it_grades.csv")) {
        const int grade = row.text("grade")[2] - '0';
        CHECK(standard_tolerance_um(grade, row.must("incl_mm")) == row.must("S1_NSK_app_table_11_um"));
        // The printed value is the formula 10, 16, 40 i with i = 0.45 D^(1/3) + 0.001 D, rounded.
        CHECK(standard_tolerance_um(grade, row.must("incl_mm")) ==
              Approx(row.must("formula_k_times_i_um")).margin(0.7));
    }
}

TEST_CASE("Rules of ISO 286 hold in every cell") {
    for (const auto& name : hole_classes())
        for (const double size : {8.0, 10.0, 10.5, 18.0, 24.0, 33.0, 50.0, 64.0, 66.0, 80.0, 119.0}) {
            const auto cell = limits(Feature::hole, name, size);
            const int grade = name.back() - '0';
            INFO(name << " at " << size);
            CHECK(cell.upper_um - cell.lower_um == standard_tolerance_um(grade, size));
        }
    // A hole class P to ZC up to grade 7, and N up to 8, gives with the h shaft one grade finer the same
    // tightest fit as the mirrored system (H hole, p shaft): the reason for the delta rule.
    for (const double size : {12.0, 28.0, 42.0, 60.0, 75.0}) {
        const double hole_system = limits("p6", size).upper_um - limits("H7", size).lower_um;
        const double shaft_system = limits("h6", size).upper_um - limits("P7", size).lower_um;
        CHECK(hole_system == shaft_system);
    }
}

TEST_CASE("Printed clearances of a Normal outer ring follow from ISO 286 and ISO 492") {
    for (const auto& row : read_csv("outer_ring_fits.csv")) {
        const double size = row.must("D_incl_mm");
        const auto hole = limits(Feature::hole, row.text("fit"), size);
        const auto ring = bearing_tolerance(BearingDimension::outer_diameter, "Normal", size);
        INFO(row.text("fit") << " at " << size);
        if (const auto value = row.number("max_clearance_um")) CHECK(hole.upper_um - ring.lower_um == *value);
        if (const auto value = row.number("min_clearance_um")) CHECK(hole.lower_um - ring.upper_um == *value);
        if (const auto value = row.number("max_interference_um"))
            CHECK(ring.upper_um - hole.lower_um == *value);
        if (const auto value = row.number("min_interference_um"))
            CHECK(ring.lower_um - hole.upper_um == *value);
    }
}

TEST_CASE("ISO 492 and ISO 5753-1 cells are those of the published tables") {
    for (const auto& row : read_csv("iso492_tolerances.csv")) {
        const std::string quantity = row.text("quantity");
        const auto dimension = quantity.find("Bs") != std::string::npos ? BearingDimension::width
                               : row.text("nominal") == "d"             ? BearingDimension::bore
                                                                        : BearingDimension::outer_diameter;
        const auto cell = bearing_tolerance(dimension, row.text("tolerance_class"), row.must("incl_mm"));
        CHECK(cell.lower_um == row.must("lower_um"));
        CHECK(cell.upper_um == row.must("upper_um"));
    }
    for (const auto& row : read_csv("iso5753_clearance.csv"))
        for (const std::string group : {"C2", "CN", "C3"}) {
            const auto cell = radial_clearance(group, row.must("incl_mm"));
            CHECK(cell.lower_um == row.must(group + "_min"));
            CHECK(cell.upper_um == row.must(group + "_max"));
        }
}

TEST_CASE("Bearings: dimensions as all makers print them, rating the smallest of the makers") {
    for (const auto& row : read_csv("bearings.csv")) {
        const auto found = find_bearing(row.text("designation"));
        INFO(found.designation);
        CHECK(found.d_mm == row.must("d_mm"));
        CHECK(found.D_mm == row.must("D_mm"));
        CHECK(found.B_mm == row.must("B_mm"));
        CHECK(found.r_min_mm == row.must("r_s_min_mm"));
        double smallest = row.must("C0r_NSK_N");
        for (const char* maker : {"C0r_KOYO_N", "C0_SKF_N", "C0_FBJ_N"})
            smallest = std::min(smallest, row.must(maker));
        CHECK(found.C0_N == smallest);
        if (!row.text("ISO_alt_designation").empty())
            CHECK(found.designation == row.text("ISO_alt_designation"));
    }
    CHECK(bearing_designations().size() == 35 + 14);
    for (const char* written : {"61902", "6902", "6902-2RS", "61902 2RS1", "6902ZZ", "6902LLU/C3"})
        CHECK(find_bearing(written).designation == "61902");
    CHECK(sealed_by_suffix("61902-2RS1") == true);
    CHECK(sealed_by_suffix("6902ZZ/C3") == true);
    CHECK_FALSE(sealed_by_suffix("61902").has_value());
    CHECK_FALSE(sealed_by_suffix("6902/C3").has_value());
    CHECK_THROWS_WITH(find_bearing("61912"), Catch::Contains("did you mean 61902"));
    CHECK_THROWS_AS(find_bearing(""), BadInput);
    CHECK_THROWS_AS(find_bearing("61902\n"), BadInput);
}

TEST_CASE("Threads: ISO 724 sizes, ISO 898-1 areas and proof loads") {
    for (const auto& row : read_csv("threads.csv")) {
        const auto thread = find_thread(row.text("thread"));
        INFO(thread.name);
        CHECK(thread.pitch_mm == row.must("P_mm"));
        CHECK(thread.d2_mm == Approx(row.must("d2_mm")).epsilon(1e-12));
        CHECK(thread.d3_mm == Approx(row.must("d3_mm")).epsilon(1e-12));
        CHECK(thread.stress_area_mm2 == row.must("As_nom_printed_mm2"));
        CHECK(thread.stress_area_exact_mm2 == Approx(row.must("As_formula_mm2")).margin(0.0006));
        for (const std::string name : {"4.8", "5.8", "8.8", "10.9", "12.9"}) {
            const auto printed = row.number("proof_" + name + "_printed_N");
            const double computed = row.must("proof_" + name + "_As*Sp_rounded3_N");
            if (printed) CHECK(proof_load_N(thread, name) == *printed);
            CHECK(proof_load_N(thread, name) == Approx(computed).epsilon(0.01));
        }
    }
    CHECK(find_thread("m8X1.0").name == "M8x1");
    CHECK(find_thread("M8x1.25").name == "M8");
    CHECK(find_thread("M6x0.75").proof_loads.size() == 9);
    CHECK_THROWS_WITH(find_thread("M10x2"), Catch::Contains("M10x1"));
    CHECK_THROWS_AS(proof_load_N(find_thread("M8"), "8.9"), BadInput);
}

TEST_CASE("Materials: handbook constants within what handbooks print") {
    for (const auto& row : read_csv("materials.csv")) {
        if (!row.number("E_GPa")) {
            CHECK_THROWS_AS(find_material(row.text("material")), BadInput);
            continue;
        }
        const auto material = find_material(row.text("material"));
        INFO(material.name);
        CHECK(material.E_GPa == row.must("E_GPa"));
        CHECK(material.nu == row.must("nu"));
    }
    CHECK(find_material("az91d").name == "AZ91D cast");
    CHECK(find_material("aluminum").name == "6061-T6");
    CHECK_THROWS_WITH(find_material("6061-T7"), Catch::Contains("6061-T6"));
}

TEST_CASE("Table errors say what would be valid") {
    CHECK_THROWS_WITH(limits("N77", 28), Catch::Contains("did you mean N7"));
    CHECK_THROWS_WITH(limits("K9", 28), Catch::Contains("K"));
    CHECK_THROWS_AS(limits("H7", 6), BadInput);
    CHECK_THROWS_AS(limits("H7", 121), BadInput);
    CHECK_THROWS_AS(limits("", 28), BadInput);
    CHECK_THROWS_AS(standard_tolerance_um(4, 28), BadInput);
    CHECK_THROWS_AS(bearing_tolerance(BearingDimension::bore, "4", 20), BadInput);
    CHECK_THROWS_AS(radial_clearance("C9", 20), BadInput);
}
