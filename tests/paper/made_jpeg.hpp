// A JPEG of flat squares, written here byte by byte (ITU-T T.81, baseline, only the DC of each block), with a note of how it
// lies: no camera is needed to test with, and each corner's colour is known.
#pragma once

#include <array>
#include <cmath>
#include <cstdint>
#include <string>
#include <vector>

namespace halfturn::test {

struct Rgb {
    int r = 0, g = 0, b = 0;
};

class MadeJpeg {
public:
    // `squares` by rows, each `blocks` × `blocks` blocks of 8 pixels. `orientation` 0: nothing noted.
    static std::string of(const std::vector<std::vector<Rgb>>& squares, int blocks, int orientation, bool low_first = true) {
        MadeJpeg jpeg;
        const auto rows = static_cast<int>(squares.size()), columns = static_cast<int>(squares[0].size());
        jpeg.out_ = "\xFF\xD8";
        if (orientation > 0) jpeg.segment(0xE1, std::string("Exif\0\0", 6) + tiff(orientation, low_first));
        jpeg.segment(0xDB, std::string(1, '\0') + std::string(64, 8));
        const auto side = [&](int count) { return bytes({8 * blocks * count >> 8, 8 * blocks * count & 255}); };
        jpeg.segment(0xC0, "\x08" + side(rows) + side(columns) + bytes({3, 1, 0x11, 0, 2, 0x11, 0, 3, 0x11, 0}));
        // T.81, table K.3 for the DC; for the AC one code, "no more of this block".
        jpeg.segment(0xC4, bytes({0x00, 0, 1, 5, 1, 1, 1, 1, 1, 1, 0, 0, 0, 0, 0, 0, 0, 0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11}));
        jpeg.segment(0xC4, bytes({0x10, 1, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0}));
        jpeg.segment(0xDA, bytes({3, 1, 0, 2, 0, 3, 0, 0, 63, 0}));
        for (int y = 0; y < rows * blocks; ++y)
            for (int x = 0; x < columns * blocks; ++x)
                jpeg.block(squares[static_cast<std::size_t>(y / blocks)][static_cast<std::size_t>(x / blocks)]);
        while (jpeg.count_ != 0) jpeg.bit(1);
        return jpeg.out_ + "\xFF\xD9";
    }

    // A directory with a tag before the one that counts, as cameras write it.
    static std::string tiff(int orientation, bool low_first) {
        std::string out = low_first ? std::string("II*\0", 4) : std::string("MM\0*", 4);
        const auto put = [&](int value, int size) {
            for (int i = 0; i < size; ++i) out += static_cast<char>(value >> 8 * (low_first ? i : size - 1 - i) & 255);
        };
        put(8, 4), put(2, 2);
        put(0x010F, 2), put(2, 2), put(4, 4), out += std::string("abc\0", 4);
        put(0x0112, 2), put(3, 2), put(1, 4), put(orientation, 2), put(0, 2);
        put(0, 4);
        return out;
    }

private:
    static std::string bytes(std::initializer_list<int> all) {
        std::string out;
        for (const int byte : all) out += static_cast<char>(byte);
        return out;
    }
    void segment(int marker, const std::string& content) {
        const auto length = static_cast<int>(content.size()) + 2;
        out_ += bytes({0xFF, marker, length >> 8, length & 255}) + content;
    }
    void bit(int one) {
        byte_ = byte_ << 1 | one;
        if (++count_ < 8) return;
        out_ += static_cast<char>(byte_);
        if (byte_ == 0xFF) out_ += '\0';
        byte_ = count_ = 0;
    }
    void bits(int value, int count) {
        while (count-- > 0) bit(value >> count & 1);
    }
    // A flat block's DC is its level itself, as every quantiser is 8.
    void block(const Rgb& colour) {
        const auto level = [](double value) { return static_cast<int>(std::lround(value)); };
        const int y = level(0.299 * colour.r + 0.587 * colour.g + 0.114 * colour.b) - 128;
        const int cb = level(-0.168736 * colour.r - 0.331264 * colour.g + 0.5 * colour.b),
                  cr = level(0.5 * colour.r - 0.418688 * colour.g - 0.081312 * colour.b);
        const std::array<int, 3> levels = {y, std::min(cb, 127), std::min(cr, 127)};
        for (std::size_t i = 0; i < 3; ++i) {
            const int step = levels[i] - last_[i];
            last_[i] = levels[i];
            int size = 0;
            while (std::abs(step) >> size) ++size;
            static constexpr std::array<std::pair<int, int>, 10> codes = {
                {{0, 2}, {2, 3}, {3, 3}, {4, 3}, {5, 3}, {6, 3}, {14, 4}, {30, 5}, {62, 6}, {126, 7}}};
            bits(codes[static_cast<std::size_t>(size)].first, codes[static_cast<std::size_t>(size)].second);
            bits(step >= 0 ? step : step + (1 << size) - 1, size);
            bit(0);
        }
    }

    std::string out_;
    std::array<int, 3> last_{};
    int byte_ = 0, count_ = 0;
};

}  // namespace halfturn::test
