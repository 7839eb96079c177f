#include "core/nearest_word.hpp"

#include <algorithm>

namespace halfturn {

namespace {

char lower(char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; }

std::size_t edit_distance(std::string_view a, std::string_view b) {
    std::vector<std::size_t> row(b.size() + 1);
    for (std::size_t j = 0; j <= b.size(); ++j) row[j] = j;
    for (std::size_t i = 1; i <= a.size(); ++i) {
        std::size_t diagonal = row[0];
        row[0] = i;
        for (std::size_t j = 1; j <= b.size(); ++j) {
            const std::size_t keep = row[j];
            row[j] = std::min({row[j] + 1, row[j - 1] + 1, diagonal + (lower(a[i - 1]) != lower(b[j - 1]))});
            diagonal = keep;
        }
    }
    return row[b.size()];
}

}  // namespace

std::string nearest_word(std::string_view word, const std::vector<std::string>& candidates) {
    std::string best;
    // A suggestion keeps at least one letter: "x" is no slip for "y".
    const std::size_t letters = std::max<std::size_t>(word.size(), 1);
    std::size_t best_distance = std::min(std::max<std::size_t>(2, word.size() / 3), letters - 1) + 1;
    for (const auto& candidate : candidates) {
        const std::size_t distance = edit_distance(word, candidate);
        if (distance < best_distance) {
            best_distance = distance;
            best = candidate;
        }
    }
    return best;
}

}  // namespace halfturn
