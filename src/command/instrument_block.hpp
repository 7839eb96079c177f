// An instrument's block of the rig file, as text: one [[port]] and one [[channel]] that the rig file's reader accepts.
#pragma once

#include <string>
#include <vector>

#include "core/set_up.hpp"

namespace halfturn::command {

struct InstrumentBlock {
    std::string name, device, format;   // name empty: what it measures
    Settings settings;
    LineSettings line;
    std::string measures;               // "force", "screw-travel", …
    std::string index, unit, certificate;
    bool mass_as_force = false;
    int sign = 1;
    std::vector<double> calibration;    // c0, c1, …
    double counts_per_turn = 0, capacity = 0, readings_per_s = 0, least_count = 0, lag_s = 0;  // 0: left out
};

// Only what differs from the format's own is written. Pure; what can't be right is for the reader to refuse.
std::string block_text(const InstrumentBlock& block);

}  // namespace halfturn::command
