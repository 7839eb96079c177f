#include "command/query_string.hpp"

#include "core/failure.hpp"
#include "core/sha256.hpp"
#include "core/utf8.hpp"

namespace halfturn::command {
namespace {

constexpr std::size_t most_pairs = 200;

std::string decoded(std::string_view text) {
    std::string out;
    for (std::size_t i = 0; i < text.size(); ++i) {
        if (text[i] == '+') {
            out += ' ';
        } else if (text[i] == '%') {
            std::string byte;
            if (i + 2 >= text.size() || !from_hex(text.substr(i + 1, 2), byte))
                throw BadInput("the address has a % without two hexadecimal digits after it");
            out += byte;
            i += 2;
        } else {
            out += text[i];
        }
    }
    if (!is_utf8(out)) throw BadInput("the address holds bytes that are no UTF-8 text");
    return out;
}

}  // namespace

std::vector<std::pair<std::string, std::string>> query_pairs(std::string_view query) {
    std::vector<std::pair<std::string, std::string>> pairs;
    while (!query.empty()) {
        const auto end = query.find('&');
        const std::string_view one = query.substr(0, end);
        query = end == std::string_view::npos ? std::string_view() : query.substr(end + 1);
        if (one.empty()) continue;
        if (pairs.size() >= most_pairs) throw BadInput("the address asks for more than " + std::to_string(most_pairs) + " things");
        const auto equals = one.find('=');
        pairs.emplace_back(decoded(one.substr(0, equals)),
                           equals == std::string_view::npos ? std::string() : decoded(one.substr(equals + 1)));
    }
    return pairs;
}

std::vector<std::string> split_list(std::string_view text) {
    std::vector<std::string> parts;
    while (!text.empty()) {
        const auto end = text.find(',');
        if (end != 0) parts.emplace_back(text.substr(0, end));
        text = end == std::string_view::npos ? std::string_view() : text.substr(end + 1);
    }
    return parts;
}

}  // namespace halfturn::command
