#include "calibrate/budget_json.hpp"

#include <cmath>

#include "core/number_text.hpp"

namespace halfturn::calibrate {

const char* distribution_name(Distribution distribution) {
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

std::string budget_verdict(const GumResult& gum, const MonteCarloResult& mc) {
    const Agreement agreement = compare(gum, mc);
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
    json.put("agree", agreement.agrees).put("says", budget_verdict(gum, mc));
    json.key("contributions").array();
    for (std::size_t i = 0; i < budget.inputs.size(); ++i) {
        const auto& input = budget.inputs[i];
        const auto& part = gum.contributions[i];
        json.object()
            .put("name", input.name)
            .put("value", input.value)
            .put("u", input.u)
            .put("distribution", distribution_name(input.distribution));
        json.put("dof", input.dof)
            .put("sensitivity", part.sensitivity)
            .put("u_y", part.u_y)
            .put("share_percent", part.share_percent)
            .end();
    }
    json.end();
}

}  // namespace halfturn::calibrate
