#include "core/calm_text.hpp"

#include "core/utf8.hpp"

namespace halfturn {
namespace {

// How many bytes at the beginning of this valid UTF-8 text are a character that acts instead of being seen; 0: none.
std::size_t acts(std::string_view text) {
    const auto byte = [&](std::size_t i) { return i < text.size() ? static_cast<unsigned char>(text[i]) : 0u; };
    if (byte(0) < 0x20 || byte(0) == 0x7F) return 1;
    if (byte(0) == 0xC2 && byte(1) < 0xA0) return 2;                                            // U+0080 to 009F
    if (byte(0) == 0xD8 && byte(1) == 0x9C) return 2;                                           // U+061C
    if (byte(0) == 0xE2 && byte(1) == 0x80 && (byte(2) == 0x8E || byte(2) == 0x8F)) return 3;   // U+200E, 200F
    if (byte(0) == 0xE2 && byte(1) == 0x80 && byte(2) >= 0xA8 && byte(2) <= 0xAE) return 3;     // U+2028 to 202E
    if (byte(0) == 0xE2 && byte(1) == 0x81 && byte(2) >= 0xA6 && byte(2) <= 0xA9) return 3;     // U+2066 to 2069
    return 0;
}

std::string calm(std::string_view bytes, bool lines_stay) {
    const std::string text = as_utf8(bytes);
    std::string out;
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t length = acts(std::string_view(text).substr(at));
        if (length == 0 || (lines_stay && text[at] == '\n')) out += text[at++];
        else {
            out += ' ';
            at += length;
        }
    }
    return out;
}

}  // namespace

std::string calm_line(std::string_view bytes) { return calm(bytes, false); }
std::string calm_lines(std::string_view bytes) { return calm(bytes, true); }

}  // namespace halfturn
