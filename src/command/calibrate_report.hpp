// What several calibrate commands print alike: budgets, optional numbers, lists.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "calibrate/budget_json.hpp"
#include "core/json_writer.hpp"

namespace halfturn::command {

// A budget as a table for people, with the verdict on GUM against Monte Carlo.
std::string budget_text(const calibrate::Budget& budget, const calibrate::GumResult& gum,
                        const calibrate::MonteCarloResult& mc);

// A value with as many decimals as two figures of its uncertainty have, for people ("127.73" for u = 0.071).
std::string beside_u(double value, double u);

void put_optional(JsonWriter& json, std::string_view key,
                  const std::optional<double>& value);  // null when missing
void put_numbers(JsonWriter& json, std::string_view key, const std::vector<double>& values);
void put_matrix(JsonWriter& json, std::string_view key, const std::vector<std::vector<double>>& rows);

}  // namespace halfturn::command
