// The section solver against sections kept from CalculiX, an independent open solver: stepped hubs, flanges,
// tubes, other metals, rings on their way out. tools/reference/calculix_sections.py makes the table and
// checks it is still true.
#include <catch2/catch.hpp>
#include <fstream>
#include <map>
#include <sstream>
#include <string>
#include <vector>

#include "core/number_text.hpp"
#include "fit/section_solver.hpp"

using namespace halfturn::fit;

namespace {

std::vector<std::string> split(const std::string& text, char at) {
    std::vector<std::string> parts;
    std::stringstream stream(text);
    for (std::string part; std::getline(stream, part, at);) parts.push_back(part);
    return parts;
}

}  // namespace

TEST_CASE("sections agree with CalculiX", "[solver]") {
    std::ifstream file(HALFTURN_TESTS_DIR "/section/calculix_sections.csv");
    REQUIRE(file);
    std::vector<std::string> header;
    int cases = 0;
    for (std::string line; std::getline(file, line);) {
        if (line.empty() || line[0] == '#') continue;
        if (header.empty()) {
            header = split(line, ',');
            continue;
        }
        const std::vector<std::string> cells = split(line, ',');
        REQUIRE(cells.size() == header.size());
        std::map<std::string, std::string> row;
        for (std::size_t i = 0; i < cells.size(); ++i) row[header[i]] = cells[i];
        const auto number = [&](const std::string& key) {
            return halfturn::parse_number(row.at(key)).value();
        };

        // The bore only bounds the measures; the section itself is all given.
        RingMeasures measured;
        const double ball = number("radius") / 0.53, D = number("D"), B = number("B");
        measured.ball_mm = ball;
        measured.groove_bottom_mm = number("bottom");
        measured.groove_radius_mm = number("radius");
        measured.shoulder_mm = number("shoulder");
        measured.chamfer_mm = number("chamfer");
        const bool sealed = number("depth") > 0;
        if (sealed) {
            measured.recess_mm = number("recess");
            measured.recess_depth_mm = number("depth");
        }
        const double d = 2 * (number("bottom") - ball - 0.006) - D;
        const RingSection ring = ring_section({d, D, B, sealed}, measured);

        Housing housing;
        for (const std::string& step : split(row.at("steps"), ' ')) {
            const std::vector<std::string> sizes = split(step, ':');
            REQUIRE(sizes.size() == 3);
            housing.steps.push_back({halfturn::parse_number(sizes[0]).value(),
                                     halfturn::parse_number(sizes[1]).value(),
                                     halfturn::parse_number(sizes[2]).value()});
        }
        housing.seat_from_mouth_mm = number("seat_at");
        const SectionResult r = solve_section(ring, housing_section(housing, ring),
                                              {number("E") * 1e3, number("nu")}, number("slide"));
        CAPTURE(row.at("case"));
        CHECK(r.N_per_um == Approx(number("N_per_um")).epsilon(0.006));
        CHECK(r.raceway_um_per_um == Approx(number("raceway")).epsilon(0.006));
        ++cases;
    }
    CHECK(cases == 13);
}
