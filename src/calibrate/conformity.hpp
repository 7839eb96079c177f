// The decision rule of ISO 14253-1: near a limit, the uncertainty decides that nothing can be decided.
#pragma once

#include <optional>
#include <string_view>

namespace halfturn::calibrate {

enum class Conformity { inside, outside, undecided };

std::string_view conformity_name(Conformity conformity);  // "inside", "outside", "undecided"

// Inside only when the value keeps `guard` away from both limits, outside only when it lies beyond one by
// more than `guard`, else undecided. A missing limit is not tested. guard is the expanded uncertainty U (ISO
// 14253-1:1998), or guard_band(u) (ISO 14253-1:2017, from memory, not looked up). Throws BadInput: guard
// below zero, limits crossed.
Conformity decide(double value, double guard, std::optional<double> low, std::optional<double> high);

// One-sided normal guard band that leaves at most 1 - p risk: 1.645 u for 95 %.
double guard_band(double u, double probability = 0.95);

}  // namespace halfturn::calibrate
