#include "command/paper_file.hpp"

#include "command/output_file.hpp"
#include "core/failure.hpp"
#include "files/sibling_program.hpp"
#include "sheet/html.hpp"

namespace halfturn::command {

namespace {

std::string ending(const std::string& path) {
    const auto dot = path.rfind('.');
    return dot == std::string::npos || path.find('/', dot) != std::string::npos ? "" : path.substr(dot + 1);
}

}  // namespace

void check_sheet_name(const std::string& path, const std::string& option, bool pdf_only) {
    const std::string kind = ending(path);
    if (kind == "pdf" || (!pdf_only && (kind == "svg" || kind == "png"))) return;
    throw BadInput(option + ": \"" + path + "\" must end in " + (pdf_only ? ".pdf" : ".svg, .pdf or .png") + ", which says what to write");
}

void write_file(const std::string& path, const std::string& option, const std::string& bytes) {
    try {
        OutputFile file(path);
        file.add(bytes);
        file.finish();
    } catch (const BadInput& error) {
        throw BadInput(option + ": " + error.what());
    }
}

void write_sheet(const std::string& path, const std::string& option, const std::string& sheet_json) {
    write_file(path, option, run_sibling("halfturn-paper", {ending(path)}, sheet_json));
}

std::string sheet_svg(const std::string& sheet_json) { return run_sibling("halfturn-paper", {"svg"}, sheet_json); }

void add_paper_options(CLI::App& command, PaperOptions& options, const std::string& what) {
    command.add_option("--pdf", options.pdf, "Write " + what + " into this PDF file, to print or to hand on");
    command.add_option("--html", options.html, "Write " + what + " into this HTML file, which needs nothing else");
    command.add_flag("--letter", options.letter, "Letter paper instead of A4");
}

void check_paper_options(const PaperOptions& options) {
    if (!options.pdf.empty()) check_sheet_name(options.pdf, "--pdf", true);
    if (!options.html.empty() && ending(options.html) != "html" && ending(options.html) != "htm")
        throw BadInput("--html: \"" + options.html + "\" must end in .html");
}

void write_papers(const PaperOptions& options, const sheet::Document& document) {
    if (!options.pdf.empty()) write_sheet(options.pdf, "--pdf", sheet::document_json(document));
    const auto svg_of = [](const sheet::Drawing& drawing) { return sheet_svg(sheet::drawing_json(drawing)); };
    if (!options.html.empty()) write_file(options.html, "--html", sheet::document_html(document, svg_of));
}

std::string papers_written(const PaperOptions& options) {
    std::string text;
    for (const std::string& path : {options.pdf, options.html})
        if (!path.empty()) text += "Written to " + path + "\n";
    return text;
}

}  // namespace halfturn::command
