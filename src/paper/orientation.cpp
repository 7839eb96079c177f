// Which way up a photo lies in its file, as the camera noted it: a TIFF directory within a JPEG or PNG.
#include <cstdint>

#include "paper/photo.hpp"

namespace halfturn::paper {
namespace {

using namespace std::string_view_literals;

std::uint32_t number(std::string_view bytes, std::size_t at, std::size_t size, bool low_first) {
    std::uint32_t value = 0;
    for (std::size_t i = 0; i < size; ++i) value = value << 8 | static_cast<unsigned char>(bytes[at + (low_first ? size - 1 - i : i)]);
    return value;
}

// The first directory's tag 274: one number of 16 bits (TIFF 6.0, section 2 and "Orientation").
int from_tiff(std::string_view tiff) {
    if (tiff.size() < 8) return 1;
    const bool low_first = tiff.starts_with("II*\0"sv);
    if (!low_first && !tiff.starts_with("MM\0*"sv)) return 1;
    const std::size_t directory = number(tiff, 4, 4, low_first);
    if (directory > tiff.size() - 2) return 1;
    const std::size_t entries = number(tiff, directory, 2, low_first);
    for (std::size_t i = 0; i < entries; ++i) {
        const std::size_t at = directory + 2 + 12 * i;
        if (at + 12 > tiff.size()) return 1;
        if (number(tiff, at, 2, low_first) != 274 || number(tiff, at + 2, 2, low_first) != 3) continue;
        const auto orientation = static_cast<int>(number(tiff, at + 8, 2, low_first));
        return orientation >= 1 && orientation <= 8 ? orientation : 1;
    }
    return 1;
}

int from_jpeg(std::string_view bytes) {
    for (std::size_t at = 2; at + 4 <= bytes.size() && bytes[at] == '\xFF';) {
        const auto marker = static_cast<unsigned char>(bytes[at + 1]);
        if (marker == 0xFF) {
            ++at;
            continue;
        }
        const std::size_t length = number(bytes, at + 2, 2, false);
        if (marker == 0xDA || length < 2) return 1;  // the picture itself begins
        const std::string_view segment = bytes.substr(at + 4, length - 2);
        if (marker == 0xE1 && segment.starts_with("Exif\0\0"sv)) return from_tiff(segment.substr(6));
        at += 2 + length;
    }
    return 1;
}

int from_png(std::string_view bytes) {
    for (std::size_t at = 8; at + 12 <= bytes.size();) {
        const std::size_t length = number(bytes, at, 4, false);
        if (bytes.substr(at + 4, 4) == "eXIf") return from_tiff(bytes.substr(at + 8, length));
        at += 12 + length;
    }
    return 1;
}

}  // namespace

int noted_orientation(std::string_view bytes) {
    if (bytes.starts_with("\xFF\xD8"sv)) return from_jpeg(bytes);
    return bytes.starts_with("\x89PNG"sv) ? from_png(bytes) : 1;
}

}  // namespace halfturn::paper
