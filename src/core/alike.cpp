#include "core/alike.hpp"

#include <limits>

namespace halfturn {
namespace {

constexpr std::uint64_t low_bytes(int count) { return count < 8 ? (std::uint64_t{1} << count * 8) - 1 : ~std::uint64_t{0}; }

}  // namespace

Alike::Alike(std::string_view unread, std::size_t frame_size, Decimal value)
    : frame_size_(frame_size), least_(std::numeric_limits<std::size_t>::max()) {
    if (frame_size > longest_frame || unread.size() < 2 * frame_size + bytes_behind) return;
    std::uint64_t figures = 0;  // a bit for each byte of the frame, the first lowest
    for (std::size_t at = 0; at < frame_size; at += 8) {
        const std::uint64_t within = low_bytes(static_cast<int>(frame_size - at));
        const std::uint64_t bytes = load(unread.data() + at) & within;
        if ((bytes & highs) != 0) return;
        const std::uint64_t digit = ~((bytes ^ zeros) + ones * (0x7F - 9)) >> 7 & ones & within;
        const std::uint64_t whole_bytes = digit * 0xFF;
        if (((bytes ^ load(unread.data() + frame_size + at)) & within & ~whole_bytes) != 0) return;
        eights_[at / 8] = {(bytes & ~whole_bytes) | (zeros & whole_bytes), within, ones * 0x7F - digit * 9};
        figures |= (digit * 0x0102040810204080u) >> 56 << at;  // the lowest bits of eight bytes in one
    }
    if (figures == 0) return;
    const int begin = std::countr_zero(figures);
    figures >>= begin;
    const int whole = std::countr_one(figures);
    figures >>= whole;
    int decimals = 0;
    if (figures != 0) {
        const char mark = unread[static_cast<std::size_t>(begin) + static_cast<std::size_t>(whole)];
        decimals = std::countr_one(figures >> 1);
        if ((mark != '.' && mark != ',') || figures >> 1 >> decimals != 0) return;
    }
    const int count = whole + decimals;
    if (count > static_cast<int>(most_figures)) return;
    before_mark_ = low_bytes(whole);
    after_mark_ = low_bytes(count) & ~before_mark_;
    nines_ = low_bytes(count) & ones * 9;
    number_at_ = static_cast<std::size_t>(begin);
    exponent_ = count - decimals - static_cast<int>(most_figures);
    negative_ = value.digits < 0;
    Decimal own;
    if (read(unread.data(), own) && own == value) least_ = frame_size + bytes_behind;
}

}  // namespace halfturn
