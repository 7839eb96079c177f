// A document as data: what a set-up card, a certificate or a report says, block by block. src/paper lays it out on pages;
// html.hpp writes it for a browser.
//   Document card{.title = "Set-up card", .blocks = {Heading{"Parts"}, Table{…}, Figure{drawing, "…"}}};
//   paper program <- document_json(card)
#pragma once

#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "sheet/drawing.hpp"

namespace halfturn::sheet {

struct Heading {
    std::string text;
    bool part = false;  // begins a part of a long document: one job of several
};

struct Paragraph {
    std::string text;
    enum class Kind : std::uint8_t { plain, small, strong, boxed } kind = Kind::plain;
};

struct List {
    std::vector<std::string> items;
    bool numbered = false;
};

struct Column {
    std::string title;
    Align align = Align::left;
    double share = 1;  // of the width
};

struct Table {
    std::vector<Column> columns;  // no titles at all: no head row
    std::vector<std::vector<std::string>> rows;
};

struct Figure {
    Drawing drawing;
    std::string caption;
};

// A photo file as it was taken: JPEG or PNG; of other kinds paper shows the caption alone.
struct Photo {
    std::string media_type, bytes;
    std::string caption;
};

struct Block;
// Two columns side by side; they stay on one page.
struct Beside {
    std::vector<Block> left, right;
    double left_share = 0.5;
};

struct PageBreak {};

struct Block {
    std::variant<Heading, Paragraph, List, Table, Figure, Photo, Beside, PageBreak> is;
};

enum class Paper : std::uint8_t { a4, letter };

struct Document {
    std::string title, subtitle{};
    std::string foot{};       // on every page, left of the page's number
    Paper paper = Paper::a4;
    bool one_page = false;    // smaller type until it fits on one page
    std::vector<Block> blocks{};
};

// Width between the margins, for whoever draws a figure for it.
double text_width_mm(Paper paper);

// What the paper program reads, and back. Drawing and Document differ in their first key. read_… throw BadInput.
std::string drawing_json(const Drawing& drawing);
std::string document_json(const Document& document);
std::variant<Drawing, Document> read_sheet(std::string_view json, const std::string& name_for_errors);

}  // namespace halfturn::sheet
