// Words from people and files as a terminal or a page may show them: nothing in them moves the cursor, colours, breaks or turns
// the line round (control characters of ASCII and of Latin-1, Unicode's marks of direction and its line ends).
//   calm_line("left \u202Eright\n") -> "left  right "
#pragma once

#include <string>
#include <string_view>

namespace halfturn {

std::string calm_line(std::string_view bytes);   // on one line; each such character becomes a space
std::string calm_lines(std::string_view bytes);  // the same, but line ends stay

}  // namespace halfturn
