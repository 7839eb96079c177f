// Makes any bytes safe to show or to put into JSON: what is not valid UTF-8 becomes the replacement character.
#pragma once

#include <string>
#include <string_view>

namespace halfturn {

bool is_utf8(std::string_view text);
std::string as_utf8(std::string_view bytes);

// What was found in somebody's file, for a message: printable, on one line, at most 60 characters.
std::string shown(std::string_view bytes);

// How many columns a valid UTF-8 text takes in a terminal, counting each code point as one.
std::size_t columns(std::string_view text);

}  // namespace halfturn
