// Flags of a chart stay legible however close together things happened.
#include "report/chart.hpp"

#include <catch2/catch.hpp>
#include <variant>

using namespace halfturn;
using namespace halfturn::report;

namespace {

struct Written {
    std::string text;
    double from, to, y;
};
struct Upright {
    double x, from_y, to_y;
};

}  // namespace

TEST_CASE("words of flags touch neither each other nor each other's lines") {
    // In millimetres of paper: 160 mm across. Pairs, crowds, crowds at the right edge.
    const std::vector<double> at = GENERATE(as<std::vector<double>>{}, std::vector<double>{10, 11, 11.2, 11.4, 13, 60}, std::vector<double>{1, 1, 1, 1, 1, 1, 1, 1},
                                           std::vector<double>{10, 14, 18, 22, 26, 30, 34}, std::vector<double>{140, 150, 152, 156, 158.5, 159.5},
                                           std::vector<double>{20, 21.5, 23, 24.5, 26, 27.5, 29, 80, 81.5, 83, 158});
    Chart chart({179, 92, {0, 160, "turns"}, {0, 1000, "force, N"}, 14});
    for (std::size_t i = 0; i < at.size(); ++i) chart.flag({at[i], 500}, i == 3 ? "break-loose and peak 2164 N" : "warning " + std::to_string(i + 1));
    std::vector<Written> words;
    std::vector<Upright> lines;
    for (const sheet::Shape& shape : chart.take("").shapes) {
        if (const auto* one = std::get_if<sheet::Words>(&shape.is); one && one->text.find_first_of("wb") == 0) {
            const double width = 1.5 * static_cast<double>(one->text.size());
            const double from = one->align == sheet::Align::right ? one->at.x_mm - width : one->at.x_mm;
            words.push_back({one->text, from, from + width, one->at.y_mm});
        }
        if (const auto* line = std::get_if<sheet::Path>(&shape.is); line && line->points.size() == 2 && line->points[0].y_mm > line->points[1].y_mm + 5 &&
                                                                  line->points[0].x_mm == line->points[1].x_mm)
            lines.push_back({line->points[0].x_mm, line->points[1].y_mm, line->points[0].y_mm});
    }
    std::string all;
    for (const Written& one : words) all += one.text + ", ";
    for (std::size_t i = 0; i < at.size(); ++i)
        if (i != 3) CHECK(all.find(" " + std::to_string(i + 1) + ",") != std::string::npos);
    CHECK(lines.size() == at.size());
    for (std::size_t i = 0; i < words.size(); ++i) {
        INFO(words[i].text);
        CHECK(words[i].from > 0);
        CHECK(words[i].to < 179 + 3);
        for (std::size_t k = i + 1; k < words.size(); ++k)
            CHECK((std::abs(words[i].y - words[k].y) > 2 || words[i].to < words[k].from || words[k].to < words[i].from));
        for (const Upright& line : lines)
            CHECK_FALSE((line.x > words[i].from && line.x < words[i].to && line.from_y < words[i].y - 0.1 && line.to_y > words[i].y));
    }
}
