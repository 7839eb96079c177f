// The likely meaning of a slip of the fingers: the valid word nearest to what was typed.
//   nearest_word("shaftt", {"hole", "shaft"}) == "shaft"
#pragma once

#include <string>
#include <string_view>
#include <vector>

namespace halfturn {

// The candidate closest to `word` by edit distance whatever the case, or "" when none is near enough to be a slip of the fingers.
std::string nearest_word(std::string_view word, const std::vector<std::string>& candidates);

}  // namespace halfturn
