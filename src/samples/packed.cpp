#include "samples/packed.hpp"

#include <algorithm>
#include <array>
#include <bit>
#include <cstring>
#include <utility>

namespace halfturn::samples {
namespace {

constexpr std::size_t spare_bytes = 7;

int bits_of(std::uint64_t largest) { return static_cast<int>(std::bit_width(largest)); }

// Wraps around instead of overflowing: a damaged base or slope must not be undefined.
std::int64_t plus(std::int64_t a, std::int64_t b) {
    return static_cast<std::int64_t>(static_cast<std::uint64_t>(a) + static_cast<std::uint64_t>(b));
}
std::int64_t times(std::size_t i, std::int64_t slope) {
    return static_cast<std::int64_t>(static_cast<std::uint64_t>(i) * static_cast<std::uint64_t>(slope));
}

std::uint64_t load_big_endian(const char* at) {
    std::uint64_t word = 0;
    std::memcpy(&word, at, 8);
    if constexpr (std::endian::native == std::endian::little) word = __builtin_bswap64(word);
    return word;
}

void store(std::string& bytes, std::size_t bit, int bits, std::uint64_t number) {
    for (int left = bits; left > 0;) {
        const std::size_t at = bit / 8;
        const int room = 8 - static_cast<int>(bit % 8), take = std::min(room, left);
        const auto part = static_cast<unsigned>(number >> (left - take)) & ((1u << take) - 1);
        bytes[at] = static_cast<char>(static_cast<unsigned char>(bytes[at]) | part << (room - take));
        bit += static_cast<std::size_t>(take);
        left -= take;
    }
}

// How fast the numbers rise, by the means of their halves: noise at either end does not tilt it. In 1/65536.
std::int64_t slope_of(std::span<const std::int64_t> numbers) {
    const std::size_t half = numbers.size() / 2;
    if (half == 0) return 0;
    std::int64_t early = 0, late = 0;  // from the first: 2^52 times 2^11 numbers is 2^63, so in 1/2 of them
    for (std::size_t i = 0; i < half; ++i) {
        early += (numbers[i] - numbers[0]) / 2;
        late += (numbers[numbers.size() - half + i] - numbers[0]) / 2;
    }
    const auto apart = static_cast<double>(numbers.size() - half);
    const double rise = 2 * static_cast<double>(late - early) / static_cast<double>(half) / apart * 65536;
    return rise < 0x1p47 && rise > -0x1p47 ? static_cast<std::int64_t>(rise) : 0;
}

struct Line {
    How how;
    std::uint64_t widest;
};

Line line_along(std::span<const std::int64_t> numbers, std::int64_t slope) {
    std::int64_t low = numbers[0], high = numbers[0];
    for (std::size_t i = 1; i < numbers.size(); ++i) {
        const std::int64_t off = numbers[i] - (times(i, slope) >> 16);
        low = std::min(low, off);
        high = std::max(high, off);
    }
    const auto widest = static_cast<std::uint64_t>(high - low);
    return {{Kind::line, low, slope, bits_of(widest)}, widest};
}

How best_for(std::span<const std::int64_t> numbers) {
    How best = line_along(numbers, 0).how;
    if (const How tilted = line_along(numbers, slope_of(numbers)).how; tilted.bits < best.bits) best = tilted;
    if (numbers.size() > 1) {
        std::int64_t low = numbers[1] - numbers[0], high = low;
        for (std::size_t i = 2; i < numbers.size(); ++i) {
            low = std::min(low, numbers[i] - numbers[i - 1]);
            high = std::max(high, numbers[i] - numbers[i - 1]);
        }
        const int bits = bits_of(static_cast<std::uint64_t>(high - low));
        if (bits < best.bits) best = {Kind::steps, numbers[0], low, bits};
    }
    return best;
}

// Eight numbers of a width fill a whole number of bytes, so that every offset and shift in them is known to the compiler.
template <unsigned width>
void unpack_bits(const char* from, std::span<std::int64_t> out) {
    const auto at = [&](std::size_t k) {
        const std::uint64_t word = load_big_endian(from + k * width / 8) << (k * width % 8);
        return static_cast<std::int64_t>(word >> (64 - width));
    };
    std::size_t i = 0;
    for (; i + 8 <= out.size(); i += 8, from += width) {
        std::int64_t* to = &out[i];
        to[0] = at(0), to[1] = at(1), to[2] = at(2), to[3] = at(3);
        to[4] = at(4), to[5] = at(5), to[6] = at(6), to[7] = at(7);
    }
    for (std::size_t k = 0; i + k < out.size(); ++k) out[i + k] = at(k);
}

template <std::size_t... widths>
constexpr auto all_unpackers(std::index_sequence<widths...>) {
    // Width 0 has no bits to load; its place is filled with width 1's, and never called.
    return std::array{&unpack_bits<widths == 0 ? 1u : static_cast<unsigned>(widths)>...};
}
constexpr auto unpackers = all_unpackers(std::make_index_sequence<most_bits + 1>());

}  // namespace

std::size_t packed_bytes(std::size_t numbers, int bits) {
    return (numbers * static_cast<std::size_t>(bits) + 7) / 8 + spare_bytes;
}

Packed pack(std::span<const std::int64_t> numbers) {
    Packed packed{best_for(numbers), {}};
    const How& how = packed.how;
    packed.bytes.assign(packed_bytes(numbers.size(), how.bits), '\0');
    std::size_t bit = 0;
    for (std::size_t i = 0; i < numbers.size(); ++i, bit += static_cast<std::size_t>(how.bits)) {
        std::int64_t off = 0;
        if (how.kind == Kind::line) off = numbers[i] - (times(i, how.slope) >> 16) - how.base;
        else if (i > 0) off = numbers[i] - numbers[i - 1] - how.slope;
        store(packed.bytes, bit, how.bits, static_cast<std::uint64_t>(off));
    }
    return packed;
}

bool unpack(const How& how, std::string_view bytes, std::span<std::int64_t> out) {
    if (how.bits < 0 || how.bits > most_bits || bytes.size() != packed_bytes(out.size(), how.bits)) return false;
    if (how.bits == 0) std::fill(out.begin(), out.end(), 0);
    else unpackers[static_cast<std::size_t>(how.bits)](bytes.data(), out);
    std::uint64_t sum = static_cast<std::uint64_t>(how.base);
    const auto slope = static_cast<std::uint64_t>(how.slope);
    if (how.kind == Kind::line) {
        std::uint64_t along = 0;
        for (std::int64_t& number : out) {
            number = plus(plus(how.base, static_cast<std::int64_t>(along) >> 16), number);
            along += slope;
        }
    } else {
        if (!out.empty()) out[0] = how.base;
        for (std::size_t i = 1; i < out.size(); ++i) {
            sum += slope + static_cast<std::uint64_t>(out[i]);
            out[i] = static_cast<std::int64_t>(sum);
        }
    }
    return true;
}

}  // namespace halfturn::samples
