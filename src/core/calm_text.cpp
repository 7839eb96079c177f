#include "core/calm_text.hpp"

#include <array>

#include "core/utf8.hpp"

namespace halfturn {
namespace {

// What stands instead of the character that this valid UTF-8 text begins with, and its bytes; 0 bytes: it stays.
struct Instead {
    std::size_t bytes = 0;
    std::string_view text = " ";
};

Instead instead_of(std::string_view text) {
    static constexpr std::array<std::string_view, 5> embeddings = {"[U+202A]", "[U+202B]", "[U+202C]", "[U+202D]", "[U+202E]"};
    static constexpr std::array<std::string_view, 4> isolates = {"[U+2066]", "[U+2067]", "[U+2068]", "[U+2069]"};
    const auto byte = [&](std::size_t i) { return i < text.size() ? static_cast<unsigned char>(text[i]) : 0u; };
    if (byte(0) < 0x20 || byte(0) == 0x7F) return {1};
    if (byte(0) == 0xC2 && byte(1) < 0xA0) return {2};  // U+0080 to 009F
    if (byte(0) != 0xE2) return {};
    if (byte(1) == 0x80 && (byte(2) == 0xA8 || byte(2) == 0xA9)) return {3};  // U+2028, 2029
    if (byte(1) == 0x80 && byte(2) >= 0xAA && byte(2) <= 0xAE) return {3, embeddings[byte(2) - 0xAA]};
    if (byte(1) == 0x81 && byte(2) >= 0xA6 && byte(2) <= 0xA9) return {3, isolates[byte(2) - 0xA6]};
    return {};
}

std::string calm(std::string_view bytes, bool lines_stay) {
    const std::string text = as_utf8(bytes);
    std::string out;
    out.reserve(text.size());
    for (std::size_t at = 0; at < text.size();) {
        const Instead instead = instead_of(std::string_view(text).substr(at));
        if (instead.bytes == 0 || (lines_stay && text[at] == '\n')) out += text[at++];
        else {
            out += instead.text;
            at += instead.bytes;
        }
    }
    return out;
}

}  // namespace

std::string calm_line(std::string_view bytes) { return calm(bytes, false); }
std::string calm_lines(std::string_view bytes) { return calm(bytes, true); }

}  // namespace halfturn
