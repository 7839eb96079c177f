#include "paper/photo.hpp"

#include <algorithm>
#include <cstring>
#include <utility>

namespace halfturn::paper {

namespace {

constexpr int largest_side = 20000;

struct Reading {
    const std::string& bytes;
    std::size_t at = 0;
};

cairo_status_t read(void* from, unsigned char* into, unsigned int count) {
    auto& reading = *static_cast<Reading*>(from);
    if (reading.bytes.size() - reading.at < count) return CAIRO_STATUS_READ_ERROR;
    std::memcpy(into, reading.bytes.data() + reading.at, count);
    reading.at += count;
    return CAIRO_STATUS_SUCCESS;
}

// Width and height from a JPEG's frame header (ITU-T T.81, B.2.2: markers C0 to CF but C4, C8, CC); 0 for none.
std::pair<int, int> jpeg_size(const std::string& bytes) {
    const auto byte = [&](std::size_t i) { return static_cast<int>(static_cast<unsigned char>(bytes[i])); };
    std::size_t at = 2;
    while (at + 9 < bytes.size()) {
        if (byte(at) != 0xFF) return {};
        const int marker = byte(at + 1);
        if (marker == 0xFF) {
            ++at;
            continue;
        }
        if (marker >= 0xC0 && marker <= 0xCF && marker != 0xC4 && marker != 0xC8 && marker != 0xCC)
            return {byte(at + 7) * 256 + byte(at + 8), byte(at + 5) * 256 + byte(at + 6)};
        at += 2 + static_cast<std::size_t>(byte(at + 2) * 256 + byte(at + 3));
    }
    return {};
}

Surface jpeg(const std::string& bytes) {
    const auto [width, height] = jpeg_size(bytes);
    if (width <= 0 || height <= 0 || std::max(width, height) > largest_side) return {};
    // Cairo asks for a surface of the size, but writes the JPEG's own bytes.
    Surface surface(cairo_image_surface_create(CAIRO_FORMAT_RGB24, width, height));
    auto* copy = new std::string(bytes);
    const auto status = cairo_surface_set_mime_data(
        surface.get(), CAIRO_MIME_TYPE_JPEG, reinterpret_cast<const unsigned char*>(copy->data()), static_cast<unsigned long>(copy->size()),
        [](void* kept) { delete static_cast<std::string*>(kept); }, copy);
    if (status == CAIRO_STATUS_SUCCESS) return surface;
    delete copy;
    return {};
}

Surface png(const std::string& bytes) {
    Reading reading{bytes};
    Surface surface(cairo_image_surface_create_from_png_stream(read, &reading));
    return cairo_surface_status(surface.get()) == CAIRO_STATUS_SUCCESS ? std::move(surface) : Surface();
}

// Orientation n says where the stored picture's first row and first column belong: 1 top and left, 2 top and right, 3 bottom and
// right, 4 bottom and left, 5 left and top, 6 right and top, 7 right and bottom, 8 left and bottom.
cairo_matrix_t turned_upright(int orientation, double wide, double high) {
    switch (orientation) {
        case 2: return {-1, 0, 0, 1, wide, 0};
        case 3: return {-1, 0, 0, -1, wide, high};
        case 4: return {1, 0, 0, -1, 0, high};
        case 5: return {0, 1, 1, 0, 0, 0};
        case 6: return {0, 1, -1, 0, high, 0};
        case 7: return {0, -1, -1, 0, high, wide};
        case 8: return {0, -1, 1, 0, 0, wide};
        default: return {1, 0, 0, 1, 0, 0};
    }
}

}  // namespace

Picture picture_of(const sheet::Photo& photo) {
    Picture picture;
    if (photo.media_type == "image/jpeg") picture.surface = jpeg(photo.bytes);
    else if (photo.media_type == "image/png") picture.surface = png(photo.bytes), picture.decoded = true;
    if (!picture.surface) return picture;
    const double wide = cairo_image_surface_get_width(picture.surface.get()), high = cairo_image_surface_get_height(picture.surface.get());
    const int orientation = noted_orientation(photo.bytes);
    picture.upright = turned_upright(orientation, wide, high);
    const bool lies = orientation > 4;
    picture.width = lies ? high : wide;
    picture.height = lies ? wide : high;
    return picture;
}

void paint(cairo_t* cairo, const Picture& picture, double x_mm, double y_mm, double mm_a_pixel) {
    cairo_save(cairo);
    cairo_translate(cairo, x_mm, y_mm);
    cairo_scale(cairo, mm_a_pixel, mm_a_pixel);
    cairo_transform(cairo, &picture.upright);
    cairo_set_source_surface(cairo, picture.surface.get(), 0, 0);
    cairo_paint(cairo);
    cairo_restore(cairo);
}

}  // namespace halfturn::paper
