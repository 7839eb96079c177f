// The words that stand for the enumerators in a sheet's JSON.
#pragma once

#include <array>
#include <string>
#include <string_view>
#include <utility>

#include "core/failure.hpp"
#include "sheet/document.hpp"

namespace halfturn::sheet {

template <class E, std::size_t n>
using Names = std::array<std::pair<E, std::string_view>, n>;

inline constexpr Names<Line, 7> line_names{{{Line::none, "none"}, {Line::thick, "thick"}, {Line::thin, "thin"},
    {Line::dashed, "dashed"}, {Line::centre, "centre"}, {Line::neighbour, "neighbour"}, {Line::flow, "flow"}}};
inline constexpr Names<Align, 3> align_names{{{Align::left, "left"}, {Align::centre, "centre"}, {Align::right, "right"}}};
inline constexpr Names<Paragraph::Kind, 4> paragraph_names{{{Paragraph::Kind::plain, "plain"}, {Paragraph::Kind::small, "small"},
    {Paragraph::Kind::strong, "strong"}, {Paragraph::Kind::boxed, "boxed"}}};
inline constexpr Names<Paper, 2> paper_names{{{Paper::a4, "a4"}, {Paper::letter, "letter"}}};

template <class E, std::size_t n>
std::string_view name_of(const Names<E, n>& names, E value) {
    for (const auto& [one, name] : names)
        if (one == value) return name;
    return {};
}

template <class E, std::size_t n>
E value_of(const Names<E, n>& names, const std::string& text) {
    for (const auto& [one, name] : names)
        if (name == text) return one;
    throw BadInput("\"" + text + "\" is no word that a sheet knows here");
}

}  // namespace halfturn::sheet
