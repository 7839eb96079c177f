// A document as one HTML file that stands alone: no script, nothing asked from anywhere, readable on a phone, in bright and
// dark, and printable on the document's paper.
//   const std::string html = document_html(report, [](const Drawing& drawing) { return svg_of(drawing); });
#pragma once

#include <functional>
#include <string>
#include <string_view>

#include "sheet/document.hpp"

namespace halfturn::sheet {

// Makes SVG of a drawing: the paper program does.
using SvgOf = std::function<std::string(const Drawing&)>;

std::string document_html(const Document& document, const SvgOf& svg_of);

// calm_lines() with & < > " and ' escaped: safe between tags and in a quoted attribute.
std::string html_text(std::string_view text);

}  // namespace halfturn::sheet
