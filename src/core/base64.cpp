#include "core/base64.hpp"

#include <nettle/base64.h>

namespace halfturn {

std::string to_base64(std::string_view bytes) {
    std::string text(BASE64_ENCODE_RAW_LENGTH(bytes.size()), '\0');
    base64_encode_raw(text.data(), bytes.size(), reinterpret_cast<const std::uint8_t*>(bytes.data()));
    return text;
}

bool from_base64(std::string_view text, std::string& bytes) {
    base64_decode_ctx context;
    base64_decode_init(&context);
    bytes.assign(BASE64_DECODE_LENGTH(text.size()), '\0');
    std::size_t count = bytes.size();
    const bool good =
        base64_decode_update(&context, &count, reinterpret_cast<std::uint8_t*>(bytes.data()), text.size(), text.data()) == 1 &&
        base64_decode_final(&context) == 1;
    bytes.resize(good ? count : 0);
    return good;
}

}  // namespace halfturn
