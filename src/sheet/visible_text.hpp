// Somebody else's text, made fit to be set on paper or a page: what can't be seen can't mislead.
#pragma once

#include <string>
#include <string_view>

namespace halfturn::sheet {

// Valid UTF-8. Control characters but the line break become blanks; characters that turn the direction of what follows
// (U+202A to U+202E, U+2066 to U+2069) are spelt out as "[U+202E]", so that no text can make another read backwards.
std::string visible_text(std::string_view text);

}  // namespace halfturn::sheet
