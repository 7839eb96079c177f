// Sheets as data, there and back, and what halfturn-paper makes of them.
#include <catch2/catch.hpp>

#include "core/failure.hpp"
#include "files/sibling_program.hpp"
#include "sheet/document.hpp"
#include "run_halfturn.hpp"

using namespace halfturn;
using namespace halfturn::sheet;

namespace {

Drawing every_shape() {
    Drawing drawing{80, 50, "one of each", {}};
    const auto add = [&](auto shape) { drawing.shapes.push_back({std::move(shape)}); };
    add(Area{box({5, 5}, {40, 30}), box({10, 10}, {20, 20}), 0.8, {45, 1.5}, Line::thick, "housing"});
    add(Disc{{60, 20}, 6, 1, Line::thin});
    add(Path{{{5, 40}, {40, 40}, {40, 45}}, Line::flow, true, 1});
    add(Words{{5, 48}, "Ø 12 · \"seat\" <b> Überlänge", 2.5, Align::centre, true, false});
    add(Dimension{{5, 30}, {40, 30}, 36, false, "35"});
    add(Mark{{60, 20}, {72, 8}, "3"});
    add(Window{{50, 30}, {78, 48}, {{Path{{{0, 0}, {90, 90}}, Line::centre}}}});
    return drawing;
}

Document every_block(int rows) {
    Document document{"Title", "and below", "foot", Paper::letter, false, {}};
    Table table{{{"what", Align::left, 2}, {"N", Align::right, 1}}, {}};
    for (int i = 0; i < rows; ++i) table.rows.push_back({"row " + std::to_string(i), std::to_string(i * i)});
    document.blocks = {{Heading{"One"}}, {Paragraph{"boxed", Paragraph::Kind::boxed}}, {List{{"a", "b"}, true}}, {table},
                       {Figure{every_shape(), "a figure"}}, {PageBreak{}}, {Beside{{{Heading{"l"}}}, {{Paragraph{"r"}}}, 0.3}}};
    return document;
}

std::string rendered(const std::string& json, const std::string& arguments, int* status = nullptr) {
    const test::Bench bench;
    const auto in = bench.file("sheet.json", json);
    const auto out = (bench.folder / "out").string();
    const int raw = std::system(("'" HALFTURN_BUILD_DIR "/halfturn-paper' " + arguments + " < '" + in + "' > '" + out + "' 2>&1").c_str());
    if (status) *status = WEXITSTATUS(raw);
    std::ifstream file(out, std::ios::binary);
    return {std::istreambuf_iterator<char>(file), {}};
}

}  // namespace

TEST_CASE("a sheet comes back from its JSON as it was") {
    const std::string drawing = drawing_json(every_shape());
    CHECK(drawing_json(std::get<Drawing>(read_sheet(drawing, "test"))) == drawing);
    const std::string document = document_json(every_block(3));
    CHECK(document_json(std::get<Document>(read_sheet(document, "test"))) == document);
}

TEST_CASE("a sheet that can't be drawn is refused with what is wrong") {
    const auto refused = [](const std::string& json, const char* because) {
        CHECK_THROWS_WITH(read_sheet(json, "test"), Catch::Contains(because));
    };
    refused("{", "test");
    refused(R"({"drawing":{"width_mm":0,"height_mm":5,"says":"","shapes":[]}})", "above 0");
    refused(R"({"drawing":{"width_mm":5,"height_mm":5,"says":"","shapes":[{"shape":"star"}]}})", "star");
    refused(R"({"drawing":{"width_mm":1e9,"height_mm":5,"says":"","shapes":[]}})", "5000");
    std::string json = document_json(every_block(1));
    json.replace(json.find(R"(["row 0","0"])"), 13, R"(["row 0"])");
    refused(json, "as many cells");
    int status = 0;
    CHECK(rendered("{}", "pdf", &status).find("document") != std::string::npos);
    CHECK(status == 2);
}

TEST_CASE("the same sheet gives the same bytes, of the kind asked for") {
    const std::string drawing = drawing_json(every_shape()), document = document_json(every_block(200));
    for (const auto& [kind, begins] : {std::pair("pdf", "%PDF-"), std::pair("svg", "<?xml"), std::pair("png", "\x89PNG")}) {
        INFO(kind);
        for (const std::string& sheet : {drawing, document}) {
            const std::string bytes = rendered(sheet, kind);
            CHECK(bytes.starts_with(begins));
            CHECK(bytes == rendered(sheet, kind));
        }
    }
    CHECK(rendered(document, "pdf").find("CreationDate") == std::string::npos);
}

TEST_CASE("a long table runs over pages, and a card is made to fit on one") {
    int status = 0;
    Document long_one = every_block(200);
    rendered(document_json(long_one), "png --page 4 --dpi 30", &status);
    CHECK(status == 0);
    const std::string words = rendered(document_json(long_one), "png --page 40 --dpi 30", &status);
    CHECK(status == 2);
    CHECK(words.find("no page 40") != std::string::npos);
    Document card = every_block(34);
    card.blocks.erase(card.blocks.begin() + 5);  // its page break
    rendered(document_json(card), "png --page 2 --dpi 30", &status);
    CHECK(status == 0);
    card.one_page = true;
    rendered(document_json(card), "png --page 2 --dpi 30", &status);
    CHECK(status == 2);
}

TEST_CASE("a sibling program that is not there is named") {
    CHECK_THROWS_WITH(run_sibling("halfturn-nothing", {}, ""), Catch::Contains("halfturn-nothing"));
}
