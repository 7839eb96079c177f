// A photo file on a Cairo page: PNG decoded, JPEG put into a PDF or SVG as the bytes it is, both the way up that the camera noted.
//   const Picture picture = picture_of(photo);   if (picture.surface) paint(cairo, picture, x, y, scale);
#pragma once

#include <cairo.h>

#include <memory>
#include <string_view>

#include "sheet/document.hpp"

namespace halfturn::paper {

struct DestroySurface {
    void operator()(cairo_surface_t* surface) const { cairo_surface_destroy(surface); }
};
using Surface = std::unique_ptr<cairo_surface_t, DestroySurface>;

struct Picture {
    Surface surface;               // nothing for a kind Cairo can't take, or a file that is not what it says
    double width = 0, height = 0;  // upright, in its own pixels
    cairo_matrix_t upright{};      // from the stored picture's pixels to those of the upright one
    bool decoded = false;          // false: a page that is itself made of pixels can't show it
};
Picture picture_of(const sheet::Photo& photo);
void paint(cairo_t* cairo, const Picture& picture, double x_mm, double y_mm, double mm_a_pixel);

// How the picture lies in the file, 1 to 8; 1 where nothing is said or it can't be read. Source: CIPA DC-008 (Exif), tag 274
// "Orientation", in a JPEG's APP1 segment or a PNG's eXIf chunk (PNG, 3rd edition, 11.3.4.4); from memory, not looked up.
int noted_orientation(std::string_view bytes);

}  // namespace halfturn::paper
