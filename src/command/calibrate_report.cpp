#include "command/calibrate_report.hpp"

#include <algorithm>
#include <cmath>

#include "core/number_text.hpp"
#include "core/utf8.hpp"

namespace halfturn::command {
namespace {

using namespace calibrate;

const char* name_of(Distribution distribution) {
    switch (distribution) {
        case Distribution::rectangular:
            return "rectangular";
        case Distribution::triangular:
            return "triangular";
        case Distribution::arcsine:
            return "arcsine";
        case Distribution::student:
            return "t";
        default:
            return "normal";
    }
}

std::string verdict(const GumResult& gum, const MonteCarloResult& mc, const Agreement& agreement) {
    if (mc.without_value > 0)
        return "The model has no value in " + std::to_string(mc.without_value) + " of " +
               std::to_string(mc.trials) +
               " trials (a division by zero, or a root or log of a negative number); narrow the inputs or "
               "rewrite the model.";
    if (agreement.agrees) return "The GUM result and Monte Carlo agree; either may be used.";
    const double half = (mc.high - mc.low) / 2;
    std::string out =
        "The GUM result and Monte Carlo differ by more than half the second digit of u; use the Monte Carlo "
        "interval. ";
    if (gum.u == 0 && mc.u > 0)
        return out + "At the estimates the model's slope is zero, so the first-order u sees nothing.";
    const bool same_u = std::abs(gum.u - mc.u) < 0.02 * mc.u;
    if (!same_u)
        out +=
            "The spread itself differs: the model bends within the inputs' spread, or t inputs with few "
            "degrees of freedom widen it.";
    else if (half < gum.U)
        out +=
            "The spread is the same, but the inputs have ends (or few degrees of freedom that only the GUM "
            "counts): k = " +
            figures_text(half / mc.u, 3) + " covers as much.";
    else
        out += "The spread is the same, but the shape is lopsided or has long tails.";
    return out;
}

std::string padded(std::string text, std::size_t width) {
    const std::size_t have = columns(text);
    if (have < width) text.append(width - have, ' ');
    return text + " ";
}

}  // namespace

void put_budget(JsonWriter& json, const Budget& budget, const GumResult& gum, const MonteCarloResult& mc) {
    const Agreement agreement = compare(gum, mc);
    json.put("model", budget.model).put("y", gum.y).put("u", gum.u).put("dof_eff", gum.dof_eff);
    json.put("probability", budget.probability).put("k", gum.k).put("U", gum.U);
    json.key("monte_carlo");
    if (mc.without_value == 0) {
        json.object().put("mean", mc.mean).put("u", mc.u).put("low", mc.low).put("high", mc.high);
        json.put("trials", static_cast<std::int64_t>(mc.trials))
            .put("seed", static_cast<std::int64_t>(mc.seed));
        json.put("end_noise", mc.end_noise).end();
    } else {
        json.null();
    }
    json.put("agree", agreement.agrees).put("says", verdict(gum, mc, agreement));
    json.key("contributions").array();
    for (std::size_t i = 0; i < budget.inputs.size(); ++i) {
        const auto& input = budget.inputs[i];
        const auto& part = gum.contributions[i];
        json.object()
            .put("name", input.name)
            .put("value", input.value)
            .put("u", input.u)
            .put("distribution", name_of(input.distribution));
        json.put("dof", input.dof)
            .put("sensitivity", part.sensitivity)
            .put("u_y", part.u_y)
            .put("share_percent", part.share_percent)
            .end();
    }
    json.end();
}

std::string budget_text(const Budget& budget, const GumResult& gum, const MonteCarloResult& mc) {
    std::size_t width = 5;
    for (const auto& input : budget.inputs) width = std::max(width, columns(input.name));
    const auto dof = [](double value) { return value < 1e9 ? fixed_text(value, 1) : std::string("inf"); };
    std::string out = "y = " + budget.model + "\n\n" + padded("input", width) + padded("value", 14) +
                      padded("u", 10) + padded("distribution", 12) + padded("dof", 6) +
                      padded("sensitivity", 12) + padded("u in y", 10) + "share\n";
    for (std::size_t i = 0; i < budget.inputs.size(); ++i) {
        const auto& input = budget.inputs[i];
        const auto& part = gum.contributions[i];
        out += padded(input.name, width) + padded(number_text(input.value), 14) +
               padded(figures_text(input.u, 3), 10) + padded(name_of(input.distribution), 12) +
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
    return out + verdict(gum, mc, compare(gum, mc)) + "\n";
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

}  // namespace halfturn::command
