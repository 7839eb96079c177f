// A photo file on a Cairo page: PNG decoded, JPEG put into a PDF or SVG as the bytes it is.
#pragma once

#include <cairo.h>

#include <memory>
#include <string>

#include "sheet/document.hpp"

namespace halfturn::paper {

struct DestroySurface {
    void operator()(cairo_surface_t* surface) const { cairo_surface_destroy(surface); }
};
using Surface = std::unique_ptr<cairo_surface_t, DestroySurface>;

// Nothing for a kind Cairo can't take, or a file that is not what it says.
Surface photo_surface(const sheet::Photo& photo);

}  // namespace halfturn::paper
