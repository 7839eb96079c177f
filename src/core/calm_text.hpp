// Words from people and files as a terminal, a page or paper may show them: nothing in them moves the cursor, colours, breaks or
// turns the line round. Control characters (ASCII, Latin-1) and Unicode's line ends become spaces; the characters that turn the
// direction of what follows are spelt out, so that no text can make another read backwards unnoticed.
//   calm_line("left \u202Eright\n") -> "left [U+202E]right "
#pragma once

#include <string>
#include <string_view>

namespace halfturn {

std::string calm_line(std::string_view bytes);   // on one line
std::string calm_lines(std::string_view bytes);  // the same, but line ends stay

}  // namespace halfturn
