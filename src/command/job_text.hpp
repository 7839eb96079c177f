// A recorded job in words and block characters, for the terminal.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/set_up.hpp"
#include "record/reader.hpp"
#include "watch/sample.hpp"

namespace halfturn::command {

// Two JSON objects as one: the members of the first, then those of the second.
std::string joined_objects(std::string_view first, std::string_view second);

// What an older judgement said, read from its JSON as far as it can be.
struct JudgedBefore {
    std::string judge, call;  // call in words
    std::vector<std::string> reasons;
};
JudgedBefore describe(const record::JudgedRow& row);

std::string reasons_text(const std::vector<std::string>& reasons);  // " (one; two)", or nothing

// What the plot needs of each sample: force at turns since contact.
struct CurveSample {
    double turns, force_N;
};

// The measured force over the expected band, about 80 columns wide: a light band, a solid trace. Empty text when there are
// too few samples.
std::string plot_measured(const std::vector<CurvePoint>& expected, const std::vector<CurveSample>& measured);

}  // namespace halfturn::command
