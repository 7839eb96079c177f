// Bytes as base64 text (RFC 4648, with padding) and back.
#pragma once

#include <string>
#include <string_view>

namespace halfturn {

std::string to_base64(std::string_view bytes);

// False, with `bytes` empty, for anything but whole groups of four of its letters; line breaks and blanks are skipped.
bool from_base64(std::string_view text, std::string& bytes);

}  // namespace halfturn
