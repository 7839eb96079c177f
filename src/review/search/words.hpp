// What somebody typed into a search box, as a query of SQLite's full-text search (FTS5). Whatever was typed is only ever a
// list of words: no operator, column name or wildcard of FTS5's own language gets through.
//   match_expression("scored \"bore gauge 12\"")  ->  "scored" * AND "bore gauge 12"
#pragma once

#include <string>
#include <string_view>

namespace halfturn::review {

constexpr std::size_t most_search_bytes = 500;
constexpr std::size_t most_search_words = 24;

// Every word must be there, as a word or the beginning of one; "words in quotes" as they stand, side by side. Letters' case
// and accents do not matter. Empty for an empty text. Throws BadInput for a text with nothing to look for in it ("…"), for
// more than most_search_words, and for more than most_search_bytes.
std::string match_expression(std::string_view typed);

}  // namespace halfturn::review
