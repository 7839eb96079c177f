// One decoded item as one JSON object, with the keys that captures expect: what `decode` prints and tests compare.
//   {"t":"reading","value":"12.345","unit":"mm","q":"length"}   {"t":"fault","code":"overload","detail":"OL"}
//   {"t":"reject","reason":"format"}                            {"t":"info","what":"ack"}
#pragma once

#include <string>

#include "core/format.hpp"

namespace halfturn {

// The quantity a reading stands for: that of its unit on the wire; of the format where the unit is only set (a rig may take
// an indicator's set kilograms for a force).
Quantity quantity_of(const Reading& reading, const Format& format);

std::string item_json(const Item& item, const Format& format);

}  // namespace halfturn
