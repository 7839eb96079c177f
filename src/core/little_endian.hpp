// Fixed byte layouts, the same on every machine: for stored events and for fingerprints.
#pragma once

#include <array>
#include <bit>
#include <cstdint>
#include <cstring>
#include <string>
#include <string_view>

namespace halfturn {

template <class Unsigned>
void put_little_endian(char* to, Unsigned value) {
    if constexpr (std::endian::native == std::endian::little) std::memcpy(to, &value, sizeof value);
    else for (std::size_t i = 0; i < sizeof value; ++i) to[i] = static_cast<char>(static_cast<std::uint64_t>(value) >> (8 * i));
}

template <class Unsigned>
void append_little_endian(std::string& out, Unsigned value) {
    std::array<char, sizeof value> bytes;
    put_little_endian(bytes.data(), value);
    out.append(bytes.data(), bytes.size());
}

inline void append_double(std::string& out, double value) { append_little_endian(out, std::bit_cast<std::uint64_t>(value)); }

template <class Unsigned>
Unsigned read_little_endian(std::string_view bytes, std::size_t at) {
    std::uint64_t value = 0;
    for (std::size_t i = 0; i < sizeof(Unsigned); ++i)
        value |= static_cast<std::uint64_t>(static_cast<unsigned char>(bytes[at + i])) << (8 * i);
    return static_cast<Unsigned>(value);
}

}  // namespace halfturn
