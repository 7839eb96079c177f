// SHA-256 (FIPS 180-4) by nettle, for fingerprints and the chain of jobs.
#pragma once

#include <array>
#include <cstdint>
#include <string>
#include <string_view>

namespace halfturn {

using Hash = std::array<std::uint8_t, 32>;

Hash sha256(std::string_view bytes);
Hash sha256(std::string_view first, std::string_view rest);  // of both, one after the other
std::string hex(const Hash& hash);  // 64 lower-case characters

// Any bytes as lower-case hex, and back; nothing when the text is not an even number of hex digits.
std::string to_hex(std::string_view bytes);
bool from_hex(std::string_view text, std::string& bytes);

}  // namespace halfturn
