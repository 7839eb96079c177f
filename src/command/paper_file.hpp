// Sheets into files: the ending says which kind, halfturn-paper draws it.
//   write_sheet("card.pdf", "--card", sheet::document_json(card));
#pragma once

#include <CLI/CLI.hpp>
#include <string>

#include "sheet/document.hpp"

namespace halfturn::command {

// Throws BadInput, naming the option, when the ending is not .svg, .pdf or .png or the file can't be written.
void check_sheet_name(const std::string& path, const std::string& option, bool pdf_only = false);
void write_sheet(const std::string& path, const std::string& option, const std::string& sheet_json);

// The SVG of one drawing, for a page or a report.
std::string sheet_svg(const std::string& sheet_json);

// --pdf, --html and --letter of a command that puts a document on paper.
struct PaperOptions {
    std::string pdf, html;
    bool letter = false;
    sheet::Paper size() const { return letter ? sheet::Paper::letter : sheet::Paper::a4; }
};
void add_paper_options(CLI::App& command, PaperOptions& options, const std::string& what);
void check_paper_options(const PaperOptions& options);  // before the work: throws BadInput for an ending that says another kind
void write_papers(const PaperOptions& options, const sheet::Document& document);
std::string papers_written(const PaperOptions& options);  // a line for each file, for people

void write_file(const std::string& path, const std::string& option, const std::string& bytes);

}  // namespace halfturn::command
