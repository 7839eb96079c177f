// The pitch a metric thread's name implies: "M8" is 1.25 mm by ISO 261's coarse series, "M10x1.25" says its own.
#pragma once

#include <optional>
#include <string_view>

namespace halfturn {

// Nothing for a name that is no metric thread, or a coarse one outside M4 to M16.
std::optional<double> pitch_of_thread(std::string_view thread);

}  // namespace halfturn
