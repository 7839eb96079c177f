// Tables of readings: what is accepted, and that nothing missing slips through.
#include "calibrate/csv_readings.hpp"
#include "calibrate/travel.hpp"

#include <catch2/catch.hpp>
#include <string>

#include "core/failure.hpp"

using namespace halfturn;
using namespace halfturn::calibrate;

namespace {

std::string complaint(std::string_view text, std::string_view column) {
    try {
        CsvReadings::from_text(text, "r.csv").numbers(column);
    } catch (const BadInput& error) {
        return error.what();
    }
    return "";
}

}  // namespace

TEST_CASE("a table with notes, remarks, quotes, a byte-order mark and CRLF") {
    const CsvReadings table = CsvReadings::from_text(
        "\xEF\xBB\xBF# capacity_N = 5000\r\n# a remark\r\n\"x\", y ,\"a, b\"\r\n1,-2.5e-3,p\r\n\r\n+3,4,\"q "
        "\"\"r\"\"\"\r\n",
        "r.csv");
    CHECK(table.rows() == 2);
    CHECK(table.numbers("x") == std::vector<double>{1, 3});
    CHECK(table.numbers("y") == std::vector<double>{-0.0025, 4});
    CHECK(table.texts("a, b") == std::vector<std::string>{"p", "q \"r\""});
    CHECK(table.note("capacity_N", 0, 1e6) == 5000);
    CHECK_FALSE(table.note_if("zero_N", 0, 1));
    CHECK(table.numbers_if("u_x").empty());
}

TEST_CASE("what a spreadsheet leaves behind is no reading and no error") {
    const CsvReadings table = CsvReadings::from_text("# capacity_N = 5000,,,\r\n,,,\r\nx,y,,\r\n1,2,,\r\n,,,\r\n3,4,,\r\n", "r.csv");
    CHECK(table.numbers("y") == std::vector<double>{2, 4});
    CHECK(table.note("capacity_N", 0, 1e6) == 5000);
    CHECK(CsvReadings::from_text("x,y\r1,2\r3,4", "r.csv").rows() == 2);
    CHECK(complaint("x,y,,\n1,2,,\n3,,,\n", "y").find("r.csv:3: y") == 0);  // an empty reading stays one that is missing
    CHECK(complaint("x,y\r\n1,2\r\n3,a\r\n", "y").find("r.csv:3: y") == 0);
}

TEST_CASE("every error names file, line and column") {
    using Catch::Matchers::Contains;
    CHECK_THAT(complaint("x,y\n1,2\n3,\n", "y"), Contains("r.csv:3: y") && Contains("missing"));
    CHECK_THAT(complaint("x,y\n1,2\n3\n", "y"), Contains("r.csv:3:") && Contains("1 cells"));
    CHECK_THAT(complaint("x,y\n1,2\n3,4,5\n", "y"), Contains("r.csv:3:") && Contains("decimal comma"));
    CHECK_THAT(complaint("x,y\n1,2 N\n", "y"), Contains("r.csv:2: y") && Contains("\"2 N\""));
    CHECK_THAT(complaint("x,y\n1,nan\n", "y"), Contains("r.csv:2: y"));
    CHECK_THAT(complaint("x,y\n1,inf\n", "y"), Contains("r.csv:2: y"));
    CHECK_THAT(complaint("x,y\n1,1e300\n", "y"), Contains("r.csv:2: y") && Contains("exponent"));
    CHECK_THAT(complaint("x,z\n1,2\n", "y"), Contains("column y is missing"));
    CHECK_THAT(complaint("x,x\n1,2\n", "x"), Contains("twice"));
    CHECK_THAT(complaint("x,,y\n1,2,3\n", "x"), Contains("no name"));
    CHECK_THAT(complaint("x,y\n\"1,2\n", "x"), Contains("r.csv:2:") && Contains("quote"));
    CHECK_THAT(complaint("x,y\n", "x"), Contains("no readings"));
    CHECK_THAT(complaint("", "x"), Contains("no table"));
    CHECK_THAT(complaint("x;y\n1,5;2\n", "x"), Contains("r.csv:1:") && Contains("semicolons") && Contains("point"));
    CHECK_THAT(complaint("x\ty\n1\t2\n", "x"), Contains("tabs"));
    CHECK_THAT(complaint("x,y\n\"1,5\",2\n", "x"), Contains("r.csv:2: x") && Contains("1,5"));
    CHECK_THAT(complaint(std::string_view("\xFF\xFEx\0", 4), "x"), Contains("UTF-16"));
    CHECK_THAT(complaint("# k = 1\n# k = 2\nx\n1\n", "x"), Contains("r.csv:2:") && Contains("twice"));
    const CsvReadings table = CsvReadings::from_text("# capacty_N = 5\n# zero_N = none\nx\n1\n", "r.csv");
    CHECK_THROWS_WITH(table.note("capacity_N", 0, 1e6), Contains("capacity_N") && Contains("capacty_N"));
    CHECK_THROWS_WITH(table.note("zero_N", 0, 1e6), Contains("r.csv:2:"));
    CHECK_THROWS_AS(CsvReadings::from_file("/nowhere/r.csv"), BadInput);
}

TEST_CASE("a column in another unit is to be converted, not only renamed") {
    const auto table = CsvReadings::from_text("# capacity_kN = 5\nindicated,reference_kN\n1,2\n", "f.csv");
    CHECK_THROWS_WITH(table.numbers("reference_N"), Catch::Contains("convert \"reference_kN\""));
    CHECK_THROWS_WITH(table.note("capacity_N", 0, 1e9), Catch::Contains("convert \"capacity_kN\""));
}

TEST_CASE("a caliper left in inches is found out at its block") {
    const auto table = CsvReadings::from_text("# resolution_mm = 0.01\nblock_mm,indicated_mm\n0,0\n25,0.98\n", "f.csv");
    CHECK_THROWS_WITH(read_travel(table), Catch::Contains("f.csv:4:") && Catch::Contains("inches"));
}
