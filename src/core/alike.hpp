// Frames like the one just taken: the same bytes but for the figures of the one number in them, so that they say the same with
// another value. An instrument prints thousands in a row; they are known by a few operations on eight bytes at once, and their
// number is read with no digit looked at by itself. A frame is not alike, and must be taken as any other, where its figures
// are nothing but zeros (a sign may mean something then) or nothing but nines (an overload, to some).
//
//   Alike alike(unread, frame_size, reading.value);           // `unread` begins with the frame just taken
//   while (alike.next(behind_it, reading.value)) …            // the next frame_size bytes were one, and this was its value
#pragma once

#include <array>
#include <bit>
#include <cstddef>
#include <cstdint>
#include <cstring>
#include <string_view>

#include "core/decimal.hpp"

namespace halfturn {

class Alike {
public:
    static constexpr std::size_t longest_frame = 32, most_figures = 8;
    static constexpr std::size_t bytes_behind = 8;  // that must be there, since eight are looked at together

    // Nothing is like a frame that is longer than that, is not of 7-bit characters, or whose figures are not those of `value`
    // and of one number: figures, or figures, a point or comma and figures. Nor is it worth finding out when the frame behind
    // it is no such one: where each differs from the one before, this stops at its first characters.
    Alike(std::string_view unread, std::size_t frame_size, Decimal value);

    // Whether such a frame stands in front, with enough bytes behind it to tell; then `value` is its number.
    bool next(std::string_view unread, Decimal& value) const {
        if (unread.size() < least_) return false;
        std::uint64_t unlike = 0;
        for (std::size_t at = 0; at < frame_size_; at += 8) {
            const Eight& eight = eights_[at / 8];
            const std::uint64_t difference = (load(unread.data() + at) ^ eight.bytes) & eight.within;
            unlike |= ((difference & ~highs) + eight.allow) | difference;
        }
        return (unlike & highs) == 0 && read(unread.data(), value);
    }

private:
    static constexpr std::uint64_t ones = 0x0101010101010101u, highs = ones * 0x80, zeros = ones * '0';

    // Eight bytes of the frame, the first lowest; a figure stands as '0'. What a byte may differ by, and `allow`, sum to 0x7F:
    // a byte that differs by more reaches its highest bit.
    struct Eight {
        std::uint64_t bytes, within, allow;
    };

    static std::uint64_t load(const char* at) {
        static_assert(std::endian::native == std::endian::little);
        std::uint64_t eight;
        std::memcpy(&eight, at, sizeof eight);
        return eight;
    }

    // Eight decimal digits, the first in the lowest byte: neighbours joined to pairs, pairs to fours, fours to eight
    // (D. Lemire, "Quickly parsing eight digits", 2018, after W. Mula).
    static std::int64_t eight_digits(std::uint64_t digits) {
        digits = (digits * (10 << 8 | 1)) >> 8 & 0x00FF00FF00FF00FFu;
        digits = (digits * (100 << 16 | 1)) >> 16 & 0x0000FFFF0000FFFFu;
        return static_cast<std::int64_t>((digits * (std::uint64_t{10000} << 32 | 1)) >> 32);
    }

    bool read(const char* frame, Decimal& value) const {
        std::uint64_t digits = ((load(frame + number_at_) ^ zeros) & before_mark_) | ((load(frame + number_at_ + 1) ^ zeros) & after_mark_);
        if (digits == 0 || digits == nines_) return false;
        // The last figure that is not zero goes to the end: what was behind it counts in the exponent.
        const int behind = std::countl_zero(digits) / 8;
        const std::int64_t size = eight_digits(digits << behind * 8);
        value = {negative_ ? -size : size, static_cast<std::int8_t>(exponent_ + behind)};
        return true;
    }

    std::array<Eight, longest_frame / 8> eights_;
    std::uint64_t before_mark_ = 0, after_mark_ = 0, nines_ = 0;
    std::size_t frame_size_, least_, number_at_ = 0;
    int exponent_ = 0;
    bool negative_ = false;
};

}  // namespace halfturn
