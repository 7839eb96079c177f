// Drawings and documents from JSON. Every number must be finite and of a size that paper has.
#include <cmath>

#include "core/base64.hpp"
#include "files/json_value.hpp"
#include "sheet/document.hpp"
#include "sheet/names.hpp"

namespace halfturn::sheet {

namespace {

constexpr double largest = 5000;

double number(const JsonValue& value) {
    const double read = value.number();
    if (!std::isfinite(read) || std::abs(read) > largest)
        throw BadInput("a sheet's numbers lie within 5000 either way, but one is " + value.number_as_text());
    return read;
}

double number(const JsonValue& value, const char* key) { return number(value.at(key)); }
std::string text(const JsonValue& value, const char* key) { return value.at(key).text(); }

Point point(const JsonValue& value) {
    if (value.items().size() != 2) throw BadInput("a point has two numbers");
    return {number(value.items()[0]), number(value.items()[1])};
}

std::vector<Point> points(const JsonValue& value) {
    std::vector<Point> list;
    for (const auto& one : value.items()) list.push_back(point(one));
    return list;
}

Line line(const JsonValue& value) { return value_of(line_names, text(value, "line")); }

std::vector<Shape> shapes(const JsonValue& list);

Shape shape(const JsonValue& value) {
    const std::string kind = text(value, "shape");
    if (kind == "area")
        return {Area{points(value.at("outline")), points(value.at("hole")), number(value, "grey"),
                     {number(value, "hatch_deg"), number(value, "hatch_mm")}, line(value), text(value, "part")}};
    if (kind == "disc") return {Disc{point(value.at("centre")), number(value, "radius_mm"), number(value, "grey"), line(value)}};
    if (kind == "path") return {Path{points(value.at("points")), line(value), value.at("arrow").boolean(), number(value, "corner_mm")}};
    if (kind == "words")
        return {Words{point(value.at("at")), text(value, "text"), number(value, "size_mm"), value_of(align_names, text(value, "align")),
                      value.at("strong").boolean(), value.at("upright").boolean()}};
    if (kind == "dimension")
        return {Dimension{point(value.at("from")), point(value.at("to")), number(value, "line_at_mm"), value.at("upright").boolean(),
                          text(value, "text")}};
    if (kind == "mark") return {Mark{point(value.at("on_part")), point(value.at("at")), text(value, "text")}};
    if (kind == "window") return {Window{point(value.at("from")), point(value.at("to")), shapes(value.at("shapes"))}};
    throw BadInput("\"" + kind + "\" is no shape that a sheet knows");
}

std::vector<Shape> shapes(const JsonValue& list) {
    std::vector<Shape> all;
    for (const auto& one : list.items()) all.push_back(shape(one));
    return all;
}

Drawing drawing(const JsonValue& value) {
    Drawing read{number(value, "width_mm"), number(value, "height_mm"), text(value, "says"), shapes(value.at("shapes"))};
    if (read.width_mm <= 0 || read.height_mm <= 0) throw BadInput("a drawing's width_mm and height_mm must be above 0");
    return read;
}

std::vector<Block> blocks(const JsonValue& list);

Table table(const JsonValue& value) {
    Table read;
    for (const auto& one : value.at("columns").items())
        read.columns.push_back({text(one, "title"), value_of(align_names, text(one, "align")), number(one, "share")});
    for (const auto& row : value.at("rows").items()) {
        read.rows.emplace_back();
        for (const auto& cell : row.items()) read.rows.back().push_back(cell.text());
        if (read.rows.back().size() != read.columns.size()) throw BadInput("a table's row needs as many cells as it has columns");
    }
    return read;
}

std::string photo_bytes(const JsonValue& value) {
    std::string bytes;
    if (!from_base64(text(value, "bytes"), bytes)) throw BadInput("a photo's bytes must be base64");
    return bytes;
}

Block block(const JsonValue& value) {
    const std::string kind = text(value, "block");
    if (kind == "heading") return {Heading{text(value, "text"), value.at("part").boolean()}};
    if (kind == "paragraph") return {Paragraph{text(value, "text"), value_of(paragraph_names, text(value, "kind"))}};
    if (kind == "list") {
        List list;
        list.numbered = value.at("numbered").boolean();
        for (const auto& item : value.at("items").items()) list.items.push_back(item.text());
        return {list};
    }
    if (kind == "table") return {table(value)};
    if (kind == "figure") return {Figure{drawing(value.at("drawing")), text(value, "caption")}};
    if (kind == "photo") return {Photo{text(value, "media_type"), photo_bytes(value), text(value, "caption")}};
    if (kind == "beside") return {Beside{blocks(value.at("left")), blocks(value.at("right")), number(value, "left_share")}};
    if (kind == "page-break") return {PageBreak{}};
    throw BadInput("\"" + kind + "\" is no block that a sheet knows");
}

std::vector<Block> blocks(const JsonValue& list) {
    std::vector<Block> all;
    for (const auto& one : list.items()) all.push_back(block(one));
    return all;
}

}  // namespace

std::variant<Drawing, Document> read_sheet(std::string_view json, const std::string& name_for_errors) {
    const JsonValue whole = JsonValue::parse(json, name_for_errors);
    if (const JsonValue* one = whole.find("drawing")) return drawing(*one);
    const JsonValue& given = whole.at("document");
    Document document;
    document.title = text(given, "title");
    document.subtitle = text(given, "subtitle");
    document.foot = text(given, "foot");
    document.paper = value_of(paper_names, text(given, "paper"));
    document.one_page = given.at("one_page").boolean();
    document.blocks = blocks(given.at("blocks"));
    return document;
}

}  // namespace halfturn::sheet
