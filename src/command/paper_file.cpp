#include "command/paper_file.hpp"

#include <fstream>

#include "core/failure.hpp"
#include "files/sibling_program.hpp"

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
    std::ofstream file(path, std::ios::binary);
    file.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
    file.close();
    if (!file) throw BadInput(option + ": \"" + path + "\" can't be written; name a file in a folder that is there and may be written to");
}

void write_sheet(const std::string& path, const std::string& option, const std::string& sheet_json) {
    write_file(path, option, run_sibling("halfturn-paper", {ending(path)}, sheet_json));
}

std::string sheet_svg(const std::string& sheet_json) { return run_sibling("halfturn-paper", {"svg"}, sheet_json); }

}  // namespace halfturn::command
