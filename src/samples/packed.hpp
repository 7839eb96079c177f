// A run of whole numbers packed small and without loss: each as its distance from a line, or the steps from one to the
// next, in as many bits as the widest of them needs. A steady clock and a noisy, slowly moving value both come out at few
// bits, and reading them back is a load, a shift and an addition a number.
//
//   Packed packed = pack(numbers);
//   std::vector<std::int64_t> again(numbers.size());
//   unpack(packed.how, packed.bytes, again);        // again == numbers
#pragma once

#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <string_view>

namespace halfturn::samples {

// With u_i the i-th packed number (bits i * bits … of the bytes, highest bit first):
//   line    n_i = base + ((i * slope) >> 16) + u_i         (>> rounds down)
//   steps   n_i = base + i * slope + u_1 + … + u_i
enum class Kind : std::uint8_t { line = 0, steps = 1 };

struct How {
    Kind kind = Kind::line;
    std::int64_t base = 0, slope = 0;
    int bits = 0;  // 0 to 56
    friend bool operator==(const How&, const How&) = default;
};

struct Packed {
    How how;
    std::string bytes;  // packed_bytes(numbers, how.bits); the last 7 are zero, so that eight can always be loaded at once
};

constexpr int most_bits = 56;               // eight bytes, loaded at any bit of the first, still hold so many
constexpr std::size_t most_numbers = 4096;  // of one run
// Numbers of a run may lie so far apart at most.
constexpr std::int64_t widest_run = std::int64_t{1} << 52;

std::size_t packed_bytes(std::size_t numbers, int bits);

// The smaller of the two kinds. Takes 1 to most_numbers numbers that lie at most widest_run apart.
Packed pack(std::span<const std::int64_t> numbers);

// Fills `out`, whose size is the number of numbers. False, and nothing useful in `out`, when `how` or the size of `bytes`
// can't be: the bytes are damaged.
bool unpack(const How& how, std::string_view bytes, std::span<std::int64_t> out);

}  // namespace halfturn::samples
