// Sentences broken into the lines of a terminal.
//   folded_text("A long sentence …", "  * ", "    ")  ->  lines of at most 80 columns, the first after "  * "
#pragma once

#include <string>
#include <string_view>

namespace halfturn {

// Breaks at spaces; a word longer than a line stands on its own. Counts code points, as the text is UTF-8. Ends in a
// line break.
std::string folded_text(std::string_view text, std::string_view first_indent, std::string_view next_indent);

}  // namespace halfturn
