#include "command/calibrate_report.hpp"

#include <algorithm>
#include <cmath>

#include "core/number_text.hpp"
#include "core/utf8.hpp"

namespace halfturn::command {
namespace {

using namespace calibrate;

std::string padded(std::string text, std::size_t width) {
    const std::size_t have = columns(text);
    if (have < width) text.append(width - have, ' ');
    return text + " ";
}

// As it was typed; what was worked out, no further than its uncertainty is known.
std::string value_text(const calibrate::BudgetInput& input) {
    constexpr std::size_t longest_typed = 12;
    const std::string exact = number_text(input.value);
    return exact.size() <= longest_typed || !(input.u > 0) ? exact : beside_u(input.value, input.u / 10);
}

}  // namespace

std::string budget_text(const Budget& budget, const GumResult& gum, const MonteCarloResult& mc) {
    std::size_t width = 5, value_width = 14;
    for (const auto& input : budget.inputs) {
        width = std::max(width, columns(input.name));
        value_width = std::max(value_width, value_text(input).size());
    }
    const auto dof = [](double value) { return value < 1e9 ? fixed_text(value, 1) : std::string("inf"); };
    std::string out = "y = " + budget.model + "\n\n" + padded("input", width) + padded("value", value_width) +
                      padded("u", 10) + padded("distribution", 12) + padded("dof", 6) +
                      padded("sensitivity", 12) + padded("u in y", 10) + "share\n";
    for (std::size_t i = 0; i < budget.inputs.size(); ++i) {
        const auto& input = budget.inputs[i];
        const auto& part = gum.contributions[i];
        out += padded(input.name, width) + padded(value_text(input), value_width) +
               padded(figures_text(input.u, 3), 10) + padded(distribution_name(input.distribution), 12) +
               padded(dof(input.dof), 6) + padded(figures_text(part.sensitivity, 4), 12) +
               padded(figures_text(part.u_y, 3), 10) + fixed_text(part.share_percent, 1) + " %\n";
    }
    const std::string percent = number_text(budget.probability * 100) + " %";
    out += "\nGUM:         y = " + beside_u(gum.y, gum.u) + ", u = " + figures_text(gum.u, 3) + ", dof " +
           dof(gum.dof_eff) + ", k = " + fixed_text(gum.k, 3) + ", U = " + figures_text(gum.U, 3) + " (" +
           percent + ")\n";
    if (mc.without_value == 0)
        out += "Monte Carlo: y = " + beside_u(mc.mean, mc.u) + ", u = " + figures_text(mc.u, 3) + ", " +
               percent + " from " + beside_u(mc.low, mc.u) + " to " + beside_u(mc.high, mc.u) + " (" +
               std::to_string(mc.trials) + " trials)\n";
    return out + budget_verdict(gum, mc) + "\n";
}

std::string beside_u(double value, double u) {
    if (!(u > 0)) return number_text(value);
    const int decimals = 1 - static_cast<int>(std::floor(std::log10(u)));
    return decimals > 0 ? fixed_text(value, std::min(decimals, 15)) : fixed_text(value, 0);
}

void put_optional(JsonWriter& json, std::string_view key, const std::optional<double>& value) {
    if (value)
        json.put(key, *value);
    else
        json.key(key).null();
}

void put_numbers(JsonWriter& json, std::string_view key, const std::vector<double>& values) {
    json.key(key).array();
    for (const double value : values) json.number(value);
    json.end();
}

void put_matrix(JsonWriter& json, std::string_view key, const std::vector<std::vector<double>>& rows) {
    json.key(key).array();
    for (const auto& row : rows) {
        json.array();
        for (const double value : row) json.number(value);
        json.end();
    }
    json.end();
}

}  // namespace halfturn::command
