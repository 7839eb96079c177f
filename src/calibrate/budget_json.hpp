// An evaluated budget as JSON, with what it says about GUM against Monte Carlo.
#pragma once

#include <string>

#include "calibrate/budget.hpp"
#include "calibrate/monte_carlo.hpp"
#include "core/json_writer.hpp"

namespace halfturn::calibrate {

// The keys of `calibrate budget`, into the object that is open.
void put_budget(JsonWriter& json, const Budget& budget, const GumResult& gum, const MonteCarloResult& mc);

// Which of the two results to use, and why they differ where they do.
std::string budget_verdict(const GumResult& gum, const MonteCarloResult& mc);

const char* distribution_name(Distribution distribution);  // "normal", "rectangular", …

}  // namespace halfturn::calibrate
