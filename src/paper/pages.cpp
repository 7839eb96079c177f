#include "paper/pages.hpp"

#include <cairo.h>

#include <algorithm>
#include <functional>
#include <memory>
#include <optional>
#include <utility>

#include "core/failure.hpp"
#include "paper/draw.hpp"
#include "paper/photo.hpp"

namespace halfturn::paper {

namespace {

using namespace sheet;

constexpr double margin_mm = 16, top_mm = 14, bottom_mm = 16;
constexpr double cell_gap_mm = 2.5;
constexpr double tallest_mm = 120;  // of a piece of text: longer ones are cut between their lines
constexpr double smallest = 0.62, step = 0.03;  // how far a card's type is made smaller until it fits on its page

// A piece that stays whole: measured by put(nullptr, …), drawn with a context; gives its height.
struct Piece {
    std::function<double(cairo_t*, double x, double y, double width)> put;
    double before_mm = 0;        // air above it, unless it stands at the top
    bool with_next = false;      // never the last on its page
    std::shared_ptr<Piece> head{};  // put again at the top of each further page
    bool break_before = false;
};

void rule(cairo_t* cairo, double x, double y, double width, double thick, double grey) {
    cairo_move_to(cairo, x, y);
    cairo_line_to(cairo, x + width, y);
    cairo_set_source_rgb(cairo, grey, grey, grey);
    cairo_set_line_width(cairo, thick);
    cairo_stroke(cairo);
}

class Setter {
public:
    Setter(double type, Output output) : type_(type), of_pixels_(output == Output::png) {}

    // width: of the column they will stand in.
    std::vector<Piece> pieces(const std::vector<Block>& blocks, double width) const {
        std::vector<Piece> list;
        bool break_next = false;
        for (const Block& block : blocks) {
            if (std::holds_alternative<PageBreak>(block.is)) {
                break_next = true;
                continue;
            }
            const std::size_t first = list.size();
            std::visit([&](const auto& one) { add(list, one, width); }, block.is);
            if (first < list.size()) list[first].break_before = std::exchange(break_next, false);
        }
        return list;
    }

    // All in one column, without pages.
    double column(cairo_t* cairo, const std::vector<Piece>& list, double x, double y, double width) const {
        double at = y;
        for (std::size_t i = 0; i < list.size(); ++i) {
            if (i > 0) at += list[i].before_mm;
            at += list[i].put(cairo, x, at, width);
        }
        return at - y;
    }

    double points(double size) const { return size * type_; }

private:
    Type type(double size, bool strong = false, Align align = Align::left) const { return {points(size), strong, 0, align}; }

    static std::function<double(cairo_t*, double, double, double)> text_put(std::string text, Type type) {
        return [text = std::move(text), type](cairo_t* cairo, double x, double y, double width) {
            const Lines lines(text, type, width);
            if (cairo) lines.draw(cairo, x, y);
            return lines.height_mm();
        };
    }

    void add(std::vector<Piece>& list, const Heading& heading, double) const {
        if (!heading.part) {
            list.push_back({text_put(heading.text, type(10.5, true)), 3.2 * type_, true});
            return;
        }
        const auto text = text_put(heading.text, type(14, true));
        list.push_back({[text](cairo_t* cairo, double x, double y, double width) {
            const double height = text(cairo, x, y, width) + 0.8;
            if (cairo) rule(cairo, x, y + height, width, 0.4, 0);
            return height + 0.6;
        }, 6 * type_, true});
    }

    void add(std::vector<Piece>& list, const Paragraph& paragraph, double width) const {
        const bool small = paragraph.kind == Paragraph::Kind::small;
        const Type how = type(small ? 7.5 : 9.5, paragraph.kind == Paragraph::Kind::strong);
        if (paragraph.kind != Paragraph::Kind::boxed) {
            double before = 1.4 * type_;
            for (std::string& part : Lines(paragraph.text, how, width).parts(tallest_mm)) {
                list.push_back({text_put(std::move(part), how), before});
                before = 0;
            }
            return;
        }
        const auto text = text_put(paragraph.text, how);
        list.push_back({[text](cairo_t* cairo, double x, double y, double room) {
            constexpr double inside = 2.2;
            const double height = text(nullptr, 0, 0, room - 2 * inside) + 2 * inside;
            if (cairo) {
                cairo_rectangle(cairo, x, y, room, height);
                cairo_set_source_rgb(cairo, 0, 0, 0);
                cairo_set_line_width(cairo, 0.5);
                cairo_stroke(cairo);
                text(cairo, x + inside, y + inside, room - 2 * inside);
            }
            return height;
        }, 2.2 * type_});
    }

    void add(std::vector<Piece>& list, const List& items, double width) const {
        for (std::size_t i = 0; i < items.items.size(); ++i) {
            const std::string label = items.numbered ? std::to_string(i + 1) + "." : "–";
            const Type mark = type(9.5, items.numbered);
            const double indent = (items.numbered ? 6 : 4) * type_;
            std::string shown = label;
            for (std::string& part : Lines(items.items[i], type(9.5), width - indent).parts(tallest_mm)) {
                const auto text = text_put(std::move(part), type(9.5));
                list.push_back({[text, shown, mark, indent](cairo_t* cairo, double x, double y, double room) {
                    if (cairo && !shown.empty()) Lines(shown, mark, 0).draw(cairo, x, y);
                    return text(cairo, x + indent, y, room - indent);
                }, shown.empty() ? 0 : 0.9 * type_});
                shown.clear();
            }
        }
    }

    // How wide a cell's text may run.
    static double room_of(const Table& table, std::size_t column, double width) {
        double shares = 0;
        for (const Column& one : table.columns) shares += one.share;
        return width * table.columns[column].share / shares - (column + 1 < table.columns.size() ? cell_gap_mm : 0);
    }

    // A row too tall for any page goes on in further rows.
    std::vector<std::vector<std::string>> rows_of(const Table& table, const std::vector<std::string>& cells, double width) const {
        std::vector<std::vector<std::string>> rows;
        for (std::size_t i = 0; i < cells.size(); ++i) {
            std::vector<std::string> parts =
                Lines(cells[i], type(8.5, false, table.columns[i].align), room_of(table, i, width)).parts(tallest_mm);
            if (rows.size() < parts.size()) rows.resize(parts.size(), std::vector<std::string>(cells.size()));
            for (std::size_t part = 0; part < parts.size(); ++part) rows[part][i] = std::move(parts[part]);
        }
        return rows;
    }

    double row(cairo_t* cairo, const Table& table, const std::vector<std::string>& cells, bool strong, double x, double y,
               double width) const {
        double height = 0, at = x;
        for (std::size_t i = 0; i < cells.size(); ++i) {
            const double room = room_of(table, i, width);
            const Lines lines(cells[i], type(8.5, strong, table.columns[i].align), room);
            if (cairo) lines.draw(cairo, at, y + 0.7 * type_);
            height = std::max(height, lines.height_mm());
            at += room + cell_gap_mm;
        }
        height += 1.4 * type_;
        if (cairo) rule(cairo, x, y + height, width, strong ? 0.3 : 0.15, strong ? 0 : 0.7);
        return height;
    }

    void add(std::vector<Piece>& list, const Table& table, double width) const {
        std::shared_ptr<Piece> head;
        if (std::any_of(table.columns.begin(), table.columns.end(), [](const Column& column) { return !column.title.empty(); })) {
            std::vector<std::string> titles;
            for (const Column& column : table.columns) titles.push_back(column.title);
            head = std::make_shared<Piece>(
                Piece{[this, columns = Table{table.columns, {}}, titles](cairo_t* cairo, double x, double y, double room) {
                          return row(cairo, columns, titles, true, x, y, room);
                      },
                      1.4 * type_, true});
            list.push_back(*head);
        }
        const auto shared = std::make_shared<const Table>(Table{table.columns, {}});
        bool first = true;
        for (const auto& cells : table.rows)
            for (auto& one : rows_of(table, cells, width)) {
                list.push_back({[this, shared, one](cairo_t* cairo, double x, double y, double room) {
                                    return row(cairo, *shared, one, false, x, y, room);
                                },
                                first && !head ? 1.4 * type_ : 0, false, head});
                first = false;
            }
    }

    void add(std::vector<Piece>& list, const Figure& figure, double) const {
        const auto caption = text_put(figure.caption, type(7.5));
        list.push_back({[figure, caption](cairo_t* cairo, double x, double y, double width) {
            const double scale = std::min(1.0, width / figure.drawing.width_mm);
            if (cairo) draw(cairo, figure.drawing, x + (width - scale * figure.drawing.width_mm) / 2, y, scale);
            double height = figure.drawing.height_mm * scale;
            if (!figure.caption.empty()) height += 0.8 + caption(cairo, x, y + height + 0.8, width);
            return height;
        }, 2.2 * type_});
    }

    void add(std::vector<Piece>& list, const Photo& photo, double) const {
        constexpr double widest_mm = 110, highest_mm = 80;
        const auto picture = std::make_shared<const Picture>(picture_of(photo));
        const bool on_paper = picture->surface && (picture->decoded || !of_pixels_);
        const auto caption = text_put(
            photo.caption + (on_paper           ? ""
                             : picture->surface ? " (a JPEG photo can't be put into a PNG; the PDF and HTML report have it)"
                                                : " (this kind of photo can't be put on paper; the HTML report has it)"),
            type(7.5));
        list.push_back({[picture, on_paper, caption](cairo_t* cairo, double x, double y, double width) {
            double height = 0;
            if (on_paper) {
                const double scale = std::min({widest_mm / picture->width, highest_mm / picture->height, width / picture->width});
                height = picture->height * scale + 0.8;
                if (cairo) paint(cairo, *picture, x, y, scale);
            }
            return height + caption(cairo, x, y + height, width);
        }, 2.2 * type_});
    }

    void add(std::vector<Piece>& list, const Beside& beside, double whole) const {
        constexpr double between = 7;
        const double left_width = (whole - between) * beside.left_share, right_width = whole - between - left_width;
        const auto left = pieces(beside.left, left_width), right = pieces(beside.right, right_width);
        list.push_back({[this, left, right, left_width, right_width](cairo_t* cairo, double x, double y, double) {
            return std::max(column(cairo, left, x, y, left_width), column(cairo, right, x + left_width + between, y, right_width));
        }, 2.5 * type_});
    }

    void add(std::vector<Piece>&, const PageBreak&, double) const {}

    double type_;
    bool of_pixels_;
};

struct Placed {
    Piece piece;
    double y = 0;
};
using Page = std::vector<Placed>;

std::vector<Page> placed_on_pages(const std::vector<Piece>& pieces, double width, double first_top, double height) {
    std::vector<Page> pages(1);
    double at = first_top;
    const double bottom = height - bottom_mm;
    for (std::size_t i = 0; i < pieces.size(); ++i) {
        // What must stay together: this piece, and what follows it as long as it asks for that.
        double together = 0;
        for (std::size_t j = i; j < pieces.size(); ++j) {
            together += (j > i ? pieces[j].before_mm : 0) + pieces[j].put(nullptr, 0, 0, width);
            if (!pieces[j].with_next) break;
        }
        double before = pages.back().empty() ? 0 : pieces[i].before_mm;
        if (!pages.back().empty() && (pieces[i].break_before || at + before + together > bottom)) {
            pages.emplace_back();
            at = top_mm;
            before = 0;
            if (pieces[i].head) {
                pages.back().push_back({*pieces[i].head, at});
                at += pieces[i].head->put(nullptr, 0, 0, width);
            }
        }
        pages.back().push_back({pieces[i], at + before});
        at += before + pieces[i].put(nullptr, 0, 0, width);
    }
    return pages;
}

double head_of_document(cairo_t* cairo, const Document& document, const Setter& setter, double width) {
    double at = top_mm;
    const Lines title(document.title, {setter.points(17), true}, width);
    if (cairo) title.draw(cairo, margin_mm, at);
    at += title.height_mm() + 0.6;
    if (!document.subtitle.empty()) {
        const Lines subtitle(document.subtitle, {setter.points(9.5)}, width);
        if (cairo) subtitle.draw(cairo, margin_mm, at);
        at += subtitle.height_mm() + 0.6;
    }
    at += 0.8;
    if (cairo) rule(cairo, margin_mm, at, width, 0.6, 0);
    return at + 2.4;
}

void foot(cairo_t* cairo, const Document& document, double width, double height, std::size_t page, std::size_t pages) {
    const std::string number = "page " + std::to_string(page + 1) + " of " + std::to_string(pages);
    const double y = height - bottom_mm + 3;
    Lines(number, {7.5, false, 0, Align::right}, width).draw(cairo, margin_mm, y);
    Lines(document.foot, {7.5}, width - 24).draw(cairo, margin_mm, y);
}

}  // namespace

std::string document_bytes(const Document& document, Output output, int page, double png_dpi) {
    const double page_width = document.paper == Paper::a4 ? 210 : 215.9, page_height = document.paper == Paper::a4 ? 297 : 279.4;
    const double width = page_width - 2 * margin_mm;
    std::optional<Setter> setter;
    std::vector<Page> pages;
    for (double type = 1; type >= smallest; type -= step) {
        setter.emplace(type, output);
        const double top = head_of_document(nullptr, document, *setter, width);
        pages = placed_on_pages(setter->pieces(document.blocks, width), width, top, page_height);
        if (!document.one_page || pages.size() == 1) break;
    }
    const std::size_t from = output == Output::pdf ? 0 : static_cast<std::size_t>(page - 1);
    if (from >= pages.size())
        throw BadInput("there is no page " + std::to_string(page) + ": this document has " + std::to_string(pages.size()));
    Pen pen(output, page_width, page_height, document.title, png_dpi);
    for (std::size_t i = from; i < (output == Output::pdf ? pages.size() : from + 1); ++i) {
        if (i == 0) head_of_document(pen.cairo(), document, *setter, width);
        for (const Placed& placed : pages[i]) placed.piece.put(pen.cairo(), margin_mm, placed.y, width);
        foot(pen.cairo(), document, width, page_height, i, pages.size());
        if (output == Output::pdf) pen.next_page();
    }
    return pen.finish();
}

std::string drawing_bytes(const Drawing& drawing, Output output, double png_dpi) {
    Pen pen(output, drawing.width_mm, drawing.height_mm, drawing.says, png_dpi);
    draw(pen.cairo(), drawing, 0, 0);
    return pen.finish();
}

}  // namespace halfturn::paper
