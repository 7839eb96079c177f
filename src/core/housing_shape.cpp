#include "core/housing_shape.hpp"

#include <array>
#include <cstddef>

namespace halfturn {
namespace {

struct ShapeName {
    HousingShape shape;
    std::string_view id;
    std::string_view words;
};

constexpr std::array shape_names{
    ShapeName{HousingShape::flush, "flush", "a housing as long as the ring"},
    ShapeName{HousingShape::bore_goes_on, "bore-goes-on", "a bore that goes on behind the ring"},
    ShapeName{HousingShape::shoulder_behind, "shoulder-behind", "a shoulder behind the ring"},
    ShapeName{HousingShape::long_tube, "long-tube", "the middle of a long tube"},
    ShapeName{HousingShape::flange_behind, "flange-behind", "a flange behind the ring"},
    ShapeName{HousingShape::flange_over_seat, "flange-over-seat", "a flange round the seat"},
    ShapeName{HousingShape::unknown, "unknown", "a housing of unknown shape"},
};

}  // namespace

std::optional<HousingShape> housing_shape(std::string_view id) {
    for (const ShapeName& name : shape_names) {
        if (name.id == id) return name.shape;
    }
    return std::nullopt;
}

std::string_view housing_shape_id(HousingShape shape) {
    return shape_names[static_cast<std::size_t>(shape)].id;
}

std::string_view housing_shape_words(HousingShape shape) {
    return shape_names[static_cast<std::size_t>(shape)].words;
}

}  // namespace halfturn
