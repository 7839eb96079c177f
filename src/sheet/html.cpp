#include "sheet/html.hpp"

#include <algorithm>

#include "core/base64.hpp"
#include "core/calm_text.hpp"
#include "core/number_text.hpp"

namespace halfturn::sheet {

namespace {

// Grey only, so that it prints as it looks; figures are black on nothing and are turned over in the dark.
constexpr std::string_view style = R"css(
:root{color-scheme:light dark;--ink:#16181a;--soft:#555;--paper:#fff;--line:#b9bdc1;--shade:#f1f2f3}
@media (prefers-color-scheme:dark){:root{--ink:#e8e9ea;--soft:#a6abb0;--paper:#16181a;--line:#4b5157;--shade:#202428}}
*{box-sizing:border-box}
body{margin:0 auto;padding:1.2rem 1rem 3rem;max-width:54rem;background:var(--paper);color:var(--ink);
font:1rem/1.45 system-ui,"Liberation Sans",Arial,sans-serif;overflow-wrap:anywhere}
header{border-bottom:3px solid var(--ink);margin-bottom:1rem}
h1{font-size:1.7rem;line-height:1.2;margin:0 0 .2rem}
h2{font-size:1.35rem;line-height:1.25;margin:2.4rem 0 .4rem;border-bottom:2px solid var(--ink)}
h3{font-size:1.05rem;margin:1.5rem 0 .3rem}
p{margin:.4rem 0;white-space:pre-line}
header p{color:var(--soft);margin:0 0 .6rem}
.small,figcaption,footer{font-size:.85rem;color:var(--soft)}
.strong{font-weight:700}
.boxed{border:2px solid var(--ink);padding:.6rem .8rem}
ul,ol{margin:.4rem 0;padding-left:1.4rem}
li{margin:.15rem 0;white-space:pre-line}
.wide{overflow-x:auto;margin:.5rem 0}
table{border-collapse:collapse;width:100%;font-size:.93rem}
th,td{text-align:left;vertical-align:top;padding:.22rem .9rem .22rem 0;border-bottom:1px solid var(--line);white-space:pre-line;
overflow-wrap:break-word}
td:last-child,th:last-child{padding-right:0}
thead th{border-bottom:1px solid var(--ink);vertical-align:bottom}
@media (max-width:40rem){thead~tbody td:not(:first-child){min-width:6.5rem}}
tbody th{font-weight:400;color:var(--soft);min-width:9rem}
.r{text-align:right;font-variant-numeric:tabular-nums}
.c{text-align:center}
figure{margin:.9rem 0;overflow-x:auto}
figure svg{display:block;width:100%;min-width:34rem;height:auto;background:#fff}
figure img{display:block;max-width:100%;max-height:36rem}
@media (prefers-color-scheme:dark){figure svg{filter:invert(1)}}
.beside{display:grid;gap:0 2rem}
@media (min-width:44rem){.beside{grid-template-columns:var(--left) var(--right)}}
footer{margin-top:2.5rem;border-top:1px solid var(--line);padding-top:.5rem}
@media print{
:root{color-scheme:light;--ink:#000;--soft:#333;--paper:#fff;--line:#999;--shade:#fff}
html{font-size:9.5pt}
body{max-width:none;padding:0}
figure svg{filter:none;min-width:0}
.wide,figure{overflow:visible}
h2,h3{break-after:avoid}
thead{display:table-header-group}
tr,li,figure,.boxed{break-inside:avoid}
.break{break-after:page}
}
)css";

std::string page_rule(Paper paper) {
    return std::string("@page{size:") + (paper == Paper::a4 ? "A4" : "letter") +
           ";margin:15mm 15mm 18mm;@bottom-right{content:\"page \" counter(page) \" of \" counter(pages);font:7.5pt sans-serif}}\n";
}

void replace_all(std::string& text, std::string_view what, std::string_view by) {
    for (std::size_t at = text.find(what); at != std::string::npos; at = text.find(what, at + by.size())) text.replace(at, what.size(), by);
}

// The drawing's <svg> alone, scaled by its page, its ids made its own among several on the page.
std::string inline_svg(const std::string& svg, std::size_t number, const Drawing& drawing) {
    const std::size_t begin = svg.find("<svg"), open_end = svg.find('>', begin);
    if (begin == std::string::npos || open_end == std::string::npos) return {};
    std::string body = svg.substr(open_end + 1);
    const std::string mine = "f" + std::to_string(number) + "-";
    replace_all(body, "id=\"", "id=\"" + mine);
    replace_all(body, "href=\"#", "href=\"#" + mine);
    replace_all(body, "url(#", "url(#" + mine);
    constexpr double points_per_mm = 72 / 25.4;
    const std::string size = number_text(drawing.width_mm * points_per_mm) + " " + number_text(drawing.height_mm * points_per_mm);
    return "<svg xmlns=\"http://www.w3.org/2000/svg\" xmlns:xlink=\"http://www.w3.org/1999/xlink\" viewBox=\"0 0 " + size +
           "\" role=\"img\" aria-label=\"" + html_text(drawing.says) + "\">" + body;
}

class Writer {
public:
    explicit Writer(const SvgOf& svg_of) : svg_of_(svg_of) {}

    void all(const std::vector<Block>& blocks) {
        for (const Block& block : blocks) std::visit([this](const auto& one) { add(one); }, block.is);
    }
    std::string take() { return std::move(out_); }

private:
    void element(const char* name, const std::string& text, const char* kind = nullptr) {
        out_ += std::string("<") + name + (kind ? std::string(" class=\"") + kind + "\"" : std::string()) + ">" +
                html_text(text) + "</" + name + ">\n";
    }

    void add(const Heading& heading) { element(heading.part ? "h2" : "h3", heading.text); }

    void add(const Paragraph& paragraph) {
        static constexpr const char* kinds[] = {nullptr, "small", "strong", "boxed"};
        element("p", paragraph.text, kinds[static_cast<std::size_t>(paragraph.kind)]);
    }

    void add(const List& list) {
        out_ += list.numbered ? "<ol>\n" : "<ul>\n";
        for (const auto& item : list.items) element("li", item);
        out_ += list.numbered ? "</ol>\n" : "</ul>\n";
    }

    static const char* align(const Column& column) {
        return column.align == Align::right ? "r" : column.align == Align::centre ? "c" : nullptr;
    }

    void add(const Table& table) {
        const bool head =
            std::any_of(table.columns.begin(), table.columns.end(), [](const Column& column) { return !column.title.empty(); });
        out_ += "<div class=\"wide\"><table>\n";
        if (head) {
            out_ += "<thead><tr>";
            for (const Column& column : table.columns) {
                out_ += std::string("<th scope=\"col\"") + (align(column) ? std::string(" class=\"") + align(column) + "\"" : "") + ">";
                out_ += html_text(column.title) + "</th>";
            }
            out_ += "</tr></thead>\n";
        }
        out_ += "<tbody>\n";
        for (const auto& row : table.rows) {
            out_ += "<tr>";
            for (std::size_t i = 0; i < row.size(); ++i) {
                const bool names_row = i == 0 && !head && row.size() > 1;
                out_ += names_row ? "<th scope=\"row\"" : "<td";
                if (const char* kind = align(table.columns[i])) out_ += std::string(" class=\"") + kind + "\"";
                out_ += " dir=\"auto\">" + html_text(row[i]) + (names_row ? "</th>" : "</td>");
            }
            out_ += "</tr>\n";
        }
        out_ += "</tbody></table></div>\n";
    }

    void add(const Figure& figure) {
        out_ += "<figure>" + inline_svg(svg_of_(figure.drawing), ++figures_, figure.drawing);
        if (!figure.caption.empty()) element("figcaption", figure.caption);
        out_ += "</figure>\n";
    }

    void add(const Photo& photo) {
        out_ += "<figure><img alt=\"" + html_text(photo.caption) + "\" src=\"data:" + html_text(photo.media_type) + ";base64," +
                to_base64(photo.bytes) + "\">";
        element("figcaption", photo.caption);
        out_ += "</figure>\n";
    }

    void add(const Beside& beside) {
        const auto share = [](double of) { return "minmax(0," + number_text(of) + "fr)"; };
        out_ += "<div class=\"beside\" style=\"--left:" + share(beside.left_share) + ";--right:" + share(1 - beside.left_share) +
                "\">\n<div>\n";
        all(beside.left);
        out_ += "</div>\n<div>\n";
        all(beside.right);
        out_ += "</div>\n</div>\n";
    }

    void add(const PageBreak&) { out_ += "<div class=\"break\"></div>\n"; }

    const SvgOf& svg_of_;
    std::string out_;
    std::size_t figures_ = 0;
};

}  // namespace

std::string html_text(std::string_view text) {
    std::string out;
    for (const char c : calm_lines(text)) {
        switch (c) {
            case '&': out += "&amp;"; break;
            case '<': out += "&lt;"; break;
            case '>': out += "&gt;"; break;
            case '"': out += "&quot;"; break;
            case '\'': out += "&#39;"; break;
            default: out += c;
        }
    }
    return out;
}

std::string document_html(const Document& document, const SvgOf& svg_of) {
    Writer writer(svg_of);
    writer.all(document.blocks);
    std::string html =
        "<!doctype html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n"
        "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'; img-src data:\">\n"
        "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<title>";
    html += html_text(document.title) + "</title>\n<style>" + std::string(style) + page_rule(document.paper) +
            "</style>\n</head>\n<body>\n<header><h1>" + html_text(document.title) + "</h1>";
    if (!document.subtitle.empty()) html += "<p>" + html_text(document.subtitle) + "</p>";
    html += "</header>\n<main>\n" + writer.take() + "</main>\n";
    if (!document.foot.empty()) html += "<footer>" + html_text(document.foot) + "</footer>\n";
    return html + "</body>\n</html>\n";
}

}  // namespace halfturn::sheet
