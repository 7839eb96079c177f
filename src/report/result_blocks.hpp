// What a calibration found, from its stored JSON, as blocks of a document: whatever stands in the result stands on the paper,
// also keys of a newer program. Keys carry their unit; words for them are looked up here.
#pragma once

#include <string_view>
#include <vector>

#include "files/json_value.hpp"
#include "sheet/document.hpp"

namespace halfturn::report {

void put_result(std::vector<sheet::Block>& blocks, const JsonValue& result, std::string_view kind);

// An uncertainty budget as `calibrate budget` writes it: each part, the whole, Monte Carlo beside it.
void put_budget(std::vector<sheet::Block>& blocks, const JsonValue& budget);

}  // namespace halfturn::report
