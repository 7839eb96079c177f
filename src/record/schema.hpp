// The texts of schema/*.sql in order; the text at index n - 1 makes schema n of schema n - 1.
#pragma once

#include <string_view>
#include <vector>

namespace halfturn::record {

const std::vector<std::string_view>& schemas();

constexpr int application_id = 0x6874726e;  // "htrn"

}  // namespace halfturn::record
