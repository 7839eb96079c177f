#include "report/blocks.hpp"

#include <array>
#include <charconv>
#include <cmath>

#include "core/number_text.hpp"

namespace halfturn::report {

using namespace sheet;

void put_heading(std::vector<Block>& blocks, const std::string& text) { blocks.push_back({Heading{text}}); }

void put_text(std::vector<Block>& blocks, const std::string& text, Paragraph::Kind kind) {
    if (!text.empty()) blocks.push_back({Paragraph{text, kind}});
}

void put_list(std::vector<Block>& blocks, const std::vector<std::string>& items) {
    if (!items.empty()) blocks.push_back({List{items, false}});
}

void put_check(std::vector<Block>& blocks, Facts facts, const std::string& head, const std::string& how_else) {
    put_heading(blocks, "How to check this paper");
    facts.add("head of the store's chain", head);
    facts.put(blocks);
    put_text(blocks, how_else + " Whether the store still holds what it held when this was printed: halfturn verify --head " + head +
                         " . That head must come from this paper, or from another copy kept away from the store: whoever owns the store could "
                         "rebuild the whole chain.",
             Paragraph::Kind::small);
}

std::string short_number(double value, int figures) {
    const double size = std::abs(value);
    if (value == 0 || (size >= 1e-5 && size < 1e6)) return figures_text(value, figures);
    std::array<char, 40> text{};
    const auto end = std::to_chars(text.data(), text.data() + text.size(), value, std::chars_format::scientific, figures - 1);
    return {text.data(), end.ptr};
}

std::string with_unit(const std::string& number, const std::string& unit) { return unit.empty() ? number : number + " " + unit; }

}  // namespace halfturn::report
