// Independent eyes for the tests of reports: Python's HTML parser, and poppler's words of a PDF.
#pragma once

#include <boost/json.hpp>
#include <string>
#include <vector>

#include "run_halfturn.hpp"

namespace halfturn::test {

inline std::string output_of(const std::string& command) {
    FILE* pipe = ::popen(command.c_str(), "r");
    if (!pipe) throw std::runtime_error("can't run " + command);
    std::string text;
    std::array<char, 4096> block{};
    for (std::size_t got; (got = std::fread(block.data(), 1, block.size(), pipe)) > 0;) text.append(block.data(), got);
    if (::pclose(pipe) != 0) throw std::runtime_error("failed: " + command);
    return text;
}

inline boost::json::value read_html(const std::string& file) {
    return boost::json::parse(output_of("python3 '" HALFTURN_TESTS_DIR "/report/read_html.py' '" + file + "'"));
}

// The words of each page.
inline std::vector<std::string> read_pdf(const std::string& file) {
    std::vector<std::string> pages;
    std::string text = output_of("pdftotext -layout '" + file + "' -");
    for (std::size_t end; (end = text.find('\f')) != std::string::npos; text.erase(0, end + 1)) pages.push_back(text.substr(0, end));
    return pages;
}

// Is this text, or one that holds it, among the page's texts?
inline bool says(const boost::json::value& page, const std::string& what) {
    for (const auto& text : page.at("texts").as_array())
        if (std::string(text.as_string()).find(what) != std::string::npos) return true;
    return false;
}

}  // namespace halfturn::test
