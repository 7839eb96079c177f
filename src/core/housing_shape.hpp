// The metal round the seat by picture and name, as a mechanic chooses it.
#pragma once

#include <optional>
#include <string_view>

namespace halfturn {

enum class HousingShape : unsigned char {
    flush,             // the housing ends with the ring on both sides
    bore_goes_on,      // same bore and outside for 3 B behind the ring
    shoulder_behind,   // at the ring's inner face the bore narrows by 2.5 mm, for 3 B
    long_tube,         // the ring in the middle of a tube, at least 3 B (and a diameter) to each side
    flange_behind,     // shoulder behind, and a flange from the inner face on: 0.5 B thick, 0.5 D high
    flange_over_seat,  // shoulder behind, and such a flange round the middle of the seat
    unknown,
};

// The job file's ids: "flush", "bore-goes-on", "shoulder-behind", "long-tube", "flange-behind", "flange-over-seat",
// "unknown". Nothing for any other text.
std::optional<HousingShape> housing_shape(std::string_view id);
std::string_view housing_shape_id(HousingShape shape);
// In a mechanic's words: "a shoulder behind the ring".
std::string_view housing_shape_words(HousingShape shape);

}  // namespace halfturn
