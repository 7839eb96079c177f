// The formats in the order of their files, as CMake wrote them down; all_formats() of core/format.hpp is for everyone else.
#pragma once

#include <vector>

#include "core/format.hpp"

namespace halfturn {

std::vector<const Format*> listed_formats();

}  // namespace halfturn
