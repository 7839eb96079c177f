// Lays a document out on pages and draws them.
#pragma once

#include <string>

#include "paper/pen.hpp"
#include "sheet/document.hpp"

namespace halfturn::paper {

// PDF: all pages. SVG and PNG: one page of it, the first is 1; throws BadInput when there is none of that number.
std::string document_bytes(const sheet::Document& document, Output output, int page, double png_dpi);
std::string drawing_bytes(const sheet::Drawing& drawing, Output output, double png_dpi);

}  // namespace halfturn::paper
