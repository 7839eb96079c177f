#include "core/folded_text.hpp"

#include <algorithm>

namespace halfturn {

namespace {

constexpr std::size_t line_columns = 80;

std::size_t code_points(std::string_view text) {
    return static_cast<std::size_t>(std::ranges::count_if(text, [](char c) { return (c & 0xC0) != 0x80; }));
}

}  // namespace

std::string folded_text(std::string_view text, std::string_view first_indent, std::string_view next_indent) {
    std::string out(first_indent);
    std::size_t column = code_points(first_indent);
    bool fresh = true;
    for (std::size_t at = 0; at <= text.size();) {
        const std::size_t space = std::min(text.find(' ', at), text.size());
        const std::string_view word = text.substr(at, space - at);
        if (!fresh && column + 1 + code_points(word) > line_columns) {
            out.append("\n").append(next_indent);
            column = code_points(next_indent);
            fresh = true;
        }
        out.append(fresh ? "" : " ").append(word);
        column += code_points(word) + (fresh ? 0 : 1);
        fresh = false;
        at = space + 1;
    }
    return out + "\n";
}

}  // namespace halfturn
