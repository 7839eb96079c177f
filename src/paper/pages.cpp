#include "paper/pages.hpp"

#include <cairo.h>

#include <algorithm>
#include <functional>
#include <memory>
#include <optional>
#include <utility>

#include "core/failure.hpp"
#include "paper/draw.hpp"

namespace halfturn::paper {

namespace {

using namespace sheet;

constexpr double margin_mm = 16, top_mm = 14, bottom_mm = 16;
constexpr double smallest = 0.62, step = 0.03;  // how far a card's type is made smaller until it fits on its page

// A piece that stays whole: measured by put(nullptr, …), drawn with a context; gives its height.
struct Piece {
    std::function<double(cairo_t*, double x, double y, double width)> put;
    double before_mm = 0;        // air above it, unless it stands at the top
    bool with_next = false;      // never the last on its page
    std::shared_ptr<Piece> head{};  // put again at the top of each further page
    bool break_before = false;
};

class Setter {
public:
    explicit Setter(double type) : type_(type) {}

    std::vector<Piece> pieces(const std::vector<Block>& blocks) const {
        std::vector<Piece> list;
        bool break_next = false;
        for (const Block& block : blocks) {
            if (std::holds_alternative<PageBreak>(block.is)) {
                break_next = true;
                continue;
            }
            const std::size_t first = list.size();
            std::visit([&](const auto& one) { add(list, one); }, block.is);
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

    void add(std::vector<Piece>& list, const Heading& heading) const {
        list.push_back({text_put(heading.text, type(10.5, true)), 3.2 * type_, true});
    }

    void add(std::vector<Piece>& list, const Paragraph& paragraph) const {
        const bool small = paragraph.kind == Paragraph::Kind::small;
        const auto text = text_put(paragraph.text, type(small ? 7.5 : 9.5, paragraph.kind == Paragraph::Kind::strong));
        if (paragraph.kind != Paragraph::Kind::boxed) {
            list.push_back({text, 1.4 * type_});
            return;
        }
        list.push_back({[text](cairo_t* cairo, double x, double y, double width) {
            constexpr double inside = 2.2;
            const double height = text(nullptr, 0, 0, width - 2 * inside) + 2 * inside;
            if (cairo) {
                cairo_rectangle(cairo, x, y, width, height);
                cairo_set_source_rgb(cairo, 0, 0, 0);
                cairo_set_line_width(cairo, 0.5);
                cairo_stroke(cairo);
                text(cairo, x + inside, y + inside, width - 2 * inside);
            }
            return height;
        }, 2.2 * type_});
    }

    void add(std::vector<Piece>& list, const List& items) const {
        for (std::size_t i = 0; i < items.items.size(); ++i) {
            const std::string label = items.numbered ? std::to_string(i + 1) + "." : "–";
            const auto text = text_put(items.items[i], type(9.5));
            const Type mark = type(9.5, items.numbered);
            const double indent = (items.numbered ? 6 : 4) * type_;
            list.push_back({[=](cairo_t* cairo, double x, double y, double width) {
                if (cairo) Lines(label, mark, 0).draw(cairo, x, y);
                return text(cairo, x + indent, y, width - indent);
            }, 0.9 * type_});
        }
    }

    double row(cairo_t* cairo, const Table& table, const std::vector<std::string>& cells, bool strong, double x, double y, double width) const {
        double shares = 0, height = 0, at = x;
        for (const Column& column : table.columns) shares += column.share;
        constexpr double between = 2.5;
        for (std::size_t i = 0; i < cells.size(); ++i) {
            const double room = width * table.columns[i].share / shares;
            const Lines lines(cells[i], type(8.5, strong, table.columns[i].align), room - (i + 1 < cells.size() ? between : 0));
            if (cairo) lines.draw(cairo, at, y + 0.7 * type_);
            height = std::max(height, lines.height_mm());
            at += room;
        }
        height += 1.4 * type_;
        if (cairo) {
            cairo_move_to(cairo, x, y + height);
            cairo_line_to(cairo, x + width, y + height);
            const double grey = strong ? 0 : 0.7;
            cairo_set_source_rgb(cairo, grey, grey, grey);
            cairo_set_line_width(cairo, strong ? 0.3 : 0.15);
            cairo_stroke(cairo);
        }
        return height;
    }

    void add(std::vector<Piece>& list, const Table& table) const {
        std::shared_ptr<Piece> head;
        if (std::any_of(table.columns.begin(), table.columns.end(), [](const Column& column) { return !column.title.empty(); })) {
            std::vector<std::string> titles;
            for (const Column& column : table.columns) titles.push_back(column.title);
            head = std::make_shared<Piece>(Piece{[this, table, titles](cairo_t* cairo, double x, double y, double width) {
                return row(cairo, table, titles, true, x, y, width);
            }, 1.4 * type_, true});
            list.push_back(*head);
        }
        for (std::size_t i = 0; i < table.rows.size(); ++i)
            list.push_back({[this, table, i](cairo_t* cairo, double x, double y, double width) {
                return row(cairo, table, table.rows[i], false, x, y, width);
            }, i == 0 && !head ? 1.4 * type_ : 0, false, head});
    }

    void add(std::vector<Piece>& list, const Figure& figure) const {
        const auto caption = text_put(figure.caption, type(7.5));
        list.push_back({[figure, caption](cairo_t* cairo, double x, double y, double width) {
            const double scale = std::min(1.0, width / figure.drawing.width_mm);
            if (cairo) draw(cairo, figure.drawing, x + (width - scale * figure.drawing.width_mm) / 2, y, scale);
            double height = figure.drawing.height_mm * scale;
            if (!figure.caption.empty()) height += 0.8 + caption(cairo, x, y + height + 0.8, width);
            return height;
        }, 2.2 * type_});
    }

    void add(std::vector<Piece>& list, const Beside& beside) const {
        const auto left = pieces(beside.left), right = pieces(beside.right);
        list.push_back({[this, left, right, share = beside.left_share](cairo_t* cairo, double x, double y, double width) {
            constexpr double between = 7;
            const double left_width = (width - between) * share;
            return std::max(column(cairo, left, x, y, left_width), column(cairo, right, x + left_width + between, y, width - between - left_width));
        }, 2.5 * type_});
    }

    void add(std::vector<Piece>&, const PageBreak&) const {}

    double type_;
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
    if (cairo) {
        cairo_move_to(cairo, margin_mm, at);
        cairo_line_to(cairo, margin_mm + width, at);
        cairo_set_source_rgb(cairo, 0, 0, 0);
        cairo_set_line_width(cairo, 0.6);
        cairo_stroke(cairo);
    }
    return at + 2.4;
}

void foot(cairo_t* cairo, const Document& document, double width, double height, std::size_t page, std::size_t pages) {
    const std::string number = std::to_string(page + 1) + " of " + std::to_string(pages);
    const double y = height - bottom_mm + 3;
    Lines(number, {7.5, false, 0, Align::right}, width).draw(cairo, margin_mm, y);
    Lines(document.foot, {7.5}, width - 16).draw(cairo, margin_mm, y);
}

}  // namespace

std::string document_bytes(const Document& document, Output output, int page, double png_dpi) {
    const double page_width = document.paper == Paper::a4 ? 210 : 215.9, page_height = document.paper == Paper::a4 ? 297 : 279.4;
    const double width = page_width - 2 * margin_mm;
    std::optional<Setter> setter;
    std::vector<Page> pages;
    for (double type = 1; type >= smallest; type -= step) {
        setter.emplace(type);
        const double top = head_of_document(nullptr, document, *setter, width);
        pages = placed_on_pages(setter->pieces(document.blocks), width, top, page_height);
        if (!document.one_page || pages.size() == 1) break;
    }
    const std::size_t from = output == Output::pdf ? 0 : static_cast<std::size_t>(page - 1);
    if (from >= pages.size()) throw BadInput("there is no page " + std::to_string(page) + ": this document has " + std::to_string(pages.size()));
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
