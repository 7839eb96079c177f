#include "sheet/visible_text.hpp"

#include "core/utf8.hpp"

namespace halfturn::sheet {

namespace {

// The code point's last hex digits when three bytes are one of the directional controls; empty otherwise.
std::string_view directional(std::string_view three) {
    static constexpr std::string_view embeddings[] = {"202A", "202B", "202C", "202D", "202E"};
    static constexpr std::string_view isolates[] = {"2066", "2067", "2068", "2069"};
    if (three.size() < 3 || three[0] != '\xE2') return {};
    const auto last = static_cast<unsigned char>(three[2]);
    if (three[1] == '\x80' && last >= 0xAA && last <= 0xAE) return embeddings[last - 0xAA];
    if (three[1] == '\x81' && last >= 0xA6 && last <= 0xA9) return isolates[last - 0xA6];
    return {};
}

}  // namespace

std::string visible_text(std::string_view given) {
    const std::string text = as_utf8(given);
    std::string out;
    out.reserve(text.size());
    for (std::size_t i = 0; i < text.size(); ++i) {
        const auto byte = static_cast<unsigned char>(text[i]);
        if (const auto code = directional(std::string_view(text).substr(i, 3)); !code.empty()) {
            out.append("[U+").append(code).append("]");
            i += 2;
        } else if (byte == 0xC2 && i + 1 < text.size() && static_cast<unsigned char>(text[i + 1]) < 0xA0) {
            out += ' ';  // U+0080 to U+009F
            ++i;
        } else {
            out += (byte < 0x20 && byte != '\n') || byte == 0x7F ? ' ' : text[i];
        }
    }
    return out;
}

}  // namespace halfturn::sheet
