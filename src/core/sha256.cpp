#include "core/sha256.hpp"

#include <nettle/sha2.h>

namespace halfturn {

Hash sha256(std::string_view bytes) { return sha256(bytes, {}); }

Hash sha256(std::string_view first, std::string_view rest) {
    sha256_ctx context;
    sha256_init(&context);
    for (const std::string_view part : {first, rest})
        sha256_update(&context, part.size(), reinterpret_cast<const std::uint8_t*>(part.data()));
    Hash hash{};
    sha256_digest(&context, hash.size(), hash.data());
    return hash;
}

std::string hex(const Hash& hash) {
    return to_hex(std::string_view(reinterpret_cast<const char*>(hash.data()), hash.size()));
}

std::string to_hex(std::string_view bytes) {
    constexpr char digits[] = "0123456789abcdef";
    std::string text;
    text.reserve(bytes.size() * 2);
    for (const char c : bytes) {
        text += digits[(static_cast<unsigned char>(c) >> 4) & 0xF];
        text += digits[static_cast<unsigned char>(c) & 0xF];
    }
    return text;
}

bool from_hex(std::string_view text, std::string& bytes) {
    const auto digit = [](char c) {
        if (c >= '0' && c <= '9') return c - '0';
        if (c >= 'a' && c <= 'f') return c - 'a' + 10;
        if (c >= 'A' && c <= 'F') return c - 'A' + 10;
        return -1;
    };
    bytes.clear();
    if (text.size() % 2 != 0) return false;
    for (std::size_t i = 0; i < text.size(); i += 2) {
        const int high = digit(text[i]), low = digit(text[i + 1]);
        if (high < 0 || low < 0) return false;
        bytes += static_cast<char>(high * 16 + low);
    }
    return true;
}

}  // namespace halfturn
