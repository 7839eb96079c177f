#include "review/search/words.hpp"

#include <algorithm>
#include <vector>

#include "core/failure.hpp"
#include "core/utf8.hpp"

namespace halfturn::review {
namespace {

bool blank(char c) { return static_cast<unsigned char>(c) <= ' '; }

// A letter or digit, or part of one beyond ASCII; the full-text search sees nothing in the rest.
bool counts(char c) {
    const auto byte = static_cast<unsigned char>(c);
    return byte >= 0x80 || (c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

struct Wanted {
    std::string text;
    bool whole = false;  // stood in quotes
};

std::vector<Wanted> split(std::string_view typed) {
    std::vector<Wanted> words(1);
    bool quoted = false;
    for (const char c : typed) {
        if (c == '"') {
            quoted = !quoted;
            words.push_back({{}, quoted});
        } else if (!quoted && blank(c)) {
            words.emplace_back();
        } else {
            words.back().text += blank(c) ? ' ' : c;
        }
    }
    std::erase_if(words, [](const Wanted& word) { return std::none_of(word.text.begin(), word.text.end(), counts); });
    return words;
}

}  // namespace

std::string match_expression(std::string_view typed) {
    if (std::all_of(typed.begin(), typed.end(), blank)) return {};
    if (typed.size() > most_search_bytes)
        throw BadInput("the words to search for have " + std::to_string(typed.size()) + " bytes, and at most " +
                       std::to_string(most_search_bytes) + " are taken: leave some out");
    const std::vector<Wanted> words = split(as_utf8(typed));
    if (words.empty()) throw BadInput("there is no word to search for in " + shown(typed) + ": give letters or digits");
    if (words.size() > most_search_words)
        throw BadInput(std::to_string(words.size()) + " words to search for are more than the " +
                       std::to_string(most_search_words) + " that are taken: leave some out");
    std::string expression;
    for (const Wanted& word : words) {
        if (!expression.empty()) expression += " AND ";
        // A text in FTS5's double quotes is no more than text; a quote inside can't be, as quotes were taken out above.
        expression += '"' + word.text + (word.whole ? "\"" : "\" *");
    }
    return expression;
}

}  // namespace halfturn::review
