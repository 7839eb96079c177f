// Sheets into files: the ending says which kind, halfturn-paper draws it.
//   write_sheet("card.pdf", "--card", sheet::document_json(card));
#pragma once

#include <string>

namespace halfturn::command {

// Throws BadInput, naming the option, when the ending is not .svg, .pdf or .png or the file can't be written.
void check_sheet_name(const std::string& path, const std::string& option, bool pdf_only = false);
void write_sheet(const std::string& path, const std::string& option, const std::string& sheet_json);

// The SVG of one drawing, for a page or a report.
std::string sheet_svg(const std::string& sheet_json);

void write_file(const std::string& path, const std::string& option, const std::string& bytes);

}  // namespace halfturn::command
