// Drawings and documents as JSON, in the order of their fields.
#include "core/base64.hpp"
#include "core/json_writer.hpp"
#include "sheet/document.hpp"
#include "sheet/names.hpp"

namespace halfturn::sheet {

namespace {

void put(JsonWriter& json, const Point& point) { json.array().number(point.x_mm).number(point.y_mm).end(); }

void put(JsonWriter& json, const char* key, const std::vector<Point>& points) {
    json.key(key).array();
    for (const Point& point : points) put(json, point);
    json.end();
}

void put(JsonWriter& json, const char* key, const Point& point) {
    json.key(key);
    put(json, point);
}

void put(JsonWriter& json, const std::vector<Shape>& shapes);

struct PutShape {
    JsonWriter& json;
    void operator()(const Area& area) const {
        json.put("shape", "area").put("part", area.part).put("line", name_of(line_names, area.line)).put("grey", area.grey)
            .put("hatch_deg", area.hatch.angle_deg).put("hatch_mm", area.hatch.spacing_mm);
        put(json, "outline", area.outline);
        put(json, "hole", area.hole);
    }
    void operator()(const Disc& disc) const {
        json.put("shape", "disc").put("line", name_of(line_names, disc.line)).put("grey", disc.grey).put("radius_mm", disc.radius_mm);
        put(json, "centre", disc.centre);
    }
    void operator()(const Path& path) const {
        json.put("shape", "path").put("line", name_of(line_names, path.line)).put("arrow", path.arrow).put("corner_mm", path.corner_mm);
        put(json, "points", path.points);
    }
    void operator()(const Words& words) const {
        json.put("shape", "words").put("text", words.text).put("size_mm", words.size_mm).put("align", name_of(align_names, words.align))
            .put("strong", words.strong).put("upright", words.upright);
        put(json, "at", words.at);
    }
    void operator()(const Dimension& dimension) const {
        json.put("shape", "dimension")
            .put("text", dimension.text)
            .put("line_at_mm", dimension.line_at_mm)
            .put("upright", dimension.upright);
        put(json, "from", dimension.from);
        put(json, "to", dimension.to);
    }
    void operator()(const Mark& mark) const {
        json.put("shape", "mark").put("text", mark.text);
        put(json, "on_part", mark.on_part);
        put(json, "at", mark.at);
    }
    void operator()(const Window& window) const {
        json.put("shape", "window");
        put(json, "from", window.from);
        put(json, "to", window.to);
        json.key("shapes");
        put(json, window.shapes);
    }
};

void put(JsonWriter& json, const std::vector<Shape>& shapes) {
    json.array();
    for (const Shape& shape : shapes) {
        json.object();
        std::visit(PutShape{json}, shape.is);
        json.end();
    }
    json.end();
}

void put(JsonWriter& json, const Drawing& drawing) {
    json.object().put("width_mm", drawing.width_mm).put("height_mm", drawing.height_mm).put("says", drawing.says).key("shapes");
    put(json, drawing.shapes);
    json.end();
}

void put(JsonWriter& json, const char* key, const std::vector<std::string>& texts) {
    json.key(key).array();
    for (const auto& text : texts) json.text(text);
    json.end();
}

void put(JsonWriter& json, const std::vector<Block>& blocks);

struct PutBlock {
    JsonWriter& json;
    void operator()(const Heading& heading) const { json.put("block", "heading").put("text", heading.text).put("part", heading.part); }
    void operator()(const Paragraph& paragraph) const {
        json.put("block", "paragraph").put("kind", name_of(paragraph_names, paragraph.kind)).put("text", paragraph.text);
    }
    void operator()(const List& list) const {
        json.put("block", "list").put("numbered", list.numbered);
        put(json, "items", list.items);
    }
    void operator()(const Table& table) const {
        json.put("block", "table").key("columns").array();
        for (const Column& column : table.columns)
            json.object().put("title", column.title).put("align", name_of(align_names, column.align)).put("share", column.share).end();
        json.end().key("rows").array();
        for (const auto& row : table.rows) {
            json.array();
            for (const auto& cell : row) json.text(cell);
            json.end();
        }
        json.end();
    }
    void operator()(const Figure& figure) const {
        json.put("block", "figure").put("caption", figure.caption).key("drawing");
        put(json, figure.drawing);
    }
    void operator()(const Photo& photo) const {
        json.put("block", "photo").put("media_type", photo.media_type).put("bytes", to_base64(photo.bytes)).put("caption", photo.caption);
    }
    void operator()(const Beside& beside) const {
        json.put("block", "beside").put("left_share", beside.left_share).key("left");
        put(json, beside.left);
        json.key("right");
        put(json, beside.right);
    }
    void operator()(const PageBreak&) const { json.put("block", "page-break"); }
};

void put(JsonWriter& json, const std::vector<Block>& blocks) {
    json.array();
    for (const Block& block : blocks) {
        json.object();
        std::visit(PutBlock{json}, block.is);
        json.end();
    }
    json.end();
}

}  // namespace

std::string drawing_json(const Drawing& drawing) {
    JsonWriter json;
    json.object().key("drawing");
    put(json, drawing);
    return json.end().take();
}

std::string document_json(const Document& document) {
    JsonWriter json;
    json.object().key("document").object().put("title", document.title).put("subtitle", document.subtitle).put("foot", document.foot)
        .put("paper", name_of(paper_names, document.paper)).put("one_page", document.one_page).key("blocks");
    put(json, document.blocks);
    return json.end().end().take();
}

}  // namespace halfturn::sheet
