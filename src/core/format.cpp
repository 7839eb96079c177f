#include "core/format.hpp"

#include "core/failure.hpp"

namespace halfturn {
namespace {

int hex_value(char c) {
    if (c >= '0' && c <= '9') return c - '0';
    if (c >= 'a' && c <= 'f') return c - 'a' + 10;
    if (c >= 'A' && c <= 'F') return c - 'A' + 10;
    return -1;
}

std::string without_escapes(std::string_view text) {
    const auto wrong = [&] {
        return BadInput("setting poll = \"" + std::string(text) +
                        "\" can't be used; after a backslash give r, n, t, another backslash or x with two hexadecimal digits");
    };
    std::string bytes;
    for (std::size_t at = 0; at < text.size(); ++at) {
        if (text[at] != '\\') {
            bytes += text[at];
            continue;
        }
        if (++at == text.size()) throw wrong();
        switch (text[at]) {
            case 'r': bytes += '\r'; break;
            case 'n': bytes += '\n'; break;
            case 't': bytes += '\t'; break;
            case '\\': bytes += '\\'; break;
            case 'x': {
                if (at + 2 >= text.size() || hex_value(text[at + 1]) < 0 || hex_value(text[at + 2]) < 0) throw wrong();
                bytes += static_cast<char>(hex_value(text[at + 1]) * 16 + hex_value(text[at + 2]));
                at += 2;
                break;
            }
            default: throw wrong();
        }
    }
    return bytes;
}

}  // namespace

Format as_set(const Format& format, const Settings& settings) { return format.as_set ? format.as_set(settings) : format; }

Settings frozen(const Format& format, const Settings& settings) { return format.freeze ? format.freeze(settings) : settings; }

std::string request_for(const Format& format, const Settings& settings) {
    const auto poll = settings.find("poll");
    if (poll != settings.end()) return poll->second == "none" ? "" : without_escapes(poll->second);
    return format.request ? format.request(settings) : std::string(format.poll);
}

}  // namespace halfturn
