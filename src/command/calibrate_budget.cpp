// halfturn calibrate budget FILE: an uncertainty budget by the GUM and by Monte Carlo.
#include <algorithm>
#include <memory>
#include <string>

#include "calibrate/budget.hpp"
#include "calibrate/monte_carlo.hpp"
#include "command/calibrate_commands.hpp"
#include "command/command.hpp"
#include "core/failure.hpp"
#include "core/json_writer.hpp"
#include "core/number_text.hpp"
#include "core/utf8.hpp"

namespace halfturn::command {
namespace {

using namespace calibrate;

struct BudgetOptions {
    std::string file, interval = "symmetric";
    std::uint64_t seed = 1;
    std::size_t trials = 1000000;
    bool json = false;
};

const char* name_of(Distribution distribution) {
    switch (distribution) {
        case Distribution::rectangular: return "rectangular";
        case Distribution::triangular: return "triangular";
        case Distribution::arcsine: return "arcsine";
        case Distribution::student: return "t";
        default: return "normal";
    }
}

std::string verdict(const GumResult& gum, const MonteCarloResult& mc, const Agreement& agreement) {
    if (mc.without_value > 0)
        return "The model has no value in " + std::to_string(mc.without_value) + " of " + std::to_string(mc.trials) +
               " trials (a division by zero, or a root or log of a negative number); narrow the inputs or rewrite the model.";
    if (agreement.agrees) return "The GUM result and Monte Carlo agree; either may be used.";
    const double half = (mc.high - mc.low) / 2;
    std::string out = "The GUM result and Monte Carlo differ by more than half the second digit of u; use the Monte Carlo interval. ";
    if (gum.u == 0 && mc.u > 0) return out + "At the estimates the model's slope is zero, so the first-order u sees nothing.";
    const bool same_u = std::abs(gum.u - mc.u) < 0.02 * mc.u;
    if (!same_u)
        out += "The spread itself differs: the model bends within the inputs' spread, or t inputs with few degrees of freedom widen it.";
    else if (half < gum.U)
        out += "The spread is the same, but the inputs have ends (or few degrees of freedom that only the GUM counts): k = " +
               figures_text(half / mc.u, 3) + " covers as much.";
    else
        out += "The spread is the same, but the shape is lopsided or has long tails.";
    return out;
}

std::string as_json(const Budget& budget, const GumResult& gum, const MonteCarloResult& mc, const Agreement& agreement) {
    JsonWriter json;
    json.object().put("model", budget.model).put("y", gum.y).put("u", gum.u).put("dof_eff", gum.dof_eff);
    json.put("probability", budget.probability).put("k", gum.k).put("U", gum.U);
    json.key("monte_carlo");
    if (mc.without_value == 0) {
        json.object().put("mean", mc.mean).put("u", mc.u).put("low", mc.low).put("high", mc.high);
        json.put("trials", static_cast<std::int64_t>(mc.trials)).put("seed", static_cast<std::int64_t>(mc.seed));
        json.put("end_noise", mc.end_noise).end();
    } else {
        json.null();
    }
    json.put("agree", agreement.agrees).put("says", verdict(gum, mc, agreement));
    json.key("contributions").array();
    for (std::size_t i = 0; i < budget.inputs.size(); ++i) {
        const auto& input = budget.inputs[i];
        const auto& part = gum.contributions[i];
        json.object().put("name", input.name).put("value", input.value).put("u", input.u).put("distribution", name_of(input.distribution));
        json.put("dof", input.dof).put("sensitivity", part.sensitivity).put("u_y", part.u_y).put("share_percent", part.share_percent).end();
    }
    return json.end().end().take() + "\n";
}

std::string padded(std::string text, std::size_t width) {
    const std::size_t have = columns(text);
    if (have < width) text.append(width - have, ' ');
    return text + " ";
}

std::string as_text(const Budget& budget, const GumResult& gum, const MonteCarloResult& mc, const Agreement& agreement) {
    std::size_t width = 5;
    for (const auto& input : budget.inputs) width = std::max(width, columns(input.name));
    const auto dof = [](double value) { return value < 1e9 ? fixed_text(value, 1) : std::string("inf"); };
    std::string out = "y = " + budget.model + "\n\n" + padded("input", width) + padded("value", 14) + padded("u", 10) +
                      padded("distribution", 12) + padded("dof", 6) + padded("sensitivity", 12) + padded("u in y", 10) + "share\n";
    for (std::size_t i = 0; i < budget.inputs.size(); ++i) {
        const auto& input = budget.inputs[i];
        const auto& part = gum.contributions[i];
        out += padded(input.name, width) + padded(number_text(input.value), 14) + padded(figures_text(input.u, 3), 10) +
               padded(name_of(input.distribution), 12) + padded(dof(input.dof), 6) + padded(figures_text(part.sensitivity, 4), 12) +
               padded(figures_text(part.u_y, 3), 10) + fixed_text(part.share_percent, 1) + " %\n";
    }
    const std::string percent = number_text(budget.probability * 100) + " %";
    out += "\nGUM:         y = " + number_text(gum.y) + ", u = " + figures_text(gum.u, 3) + ", dof " + dof(gum.dof_eff) + ", k = " +
           fixed_text(gum.k, 3) + ", U = " + figures_text(gum.U, 3) + " (" + percent + ")\n";
    if (mc.without_value == 0)
        out += "Monte Carlo: y = " + number_text(mc.mean) + ", u = " + figures_text(mc.u, 3) + ", " + percent + " from " +
               number_text(mc.low) + " to " + number_text(mc.high) + " (" + std::to_string(mc.trials) + " trials)\n";
    return out + verdict(gum, mc, agreement) + "\n";
}

void run(const BudgetOptions& options) {
    const Budget budget = read_budget(options.file);
    const GumResult gum = evaluate_gum(budget);
    const auto kind = options.interval == "shortest" ? CoverageInterval::shortest : CoverageInterval::symmetric;
    const MonteCarloResult mc = evaluate_monte_carlo(budget, options.trials, options.seed, kind);
    const Agreement agreement = compare(gum, mc);
    print(options.json ? as_json(budget, gum, mc, agreement) : as_text(budget, gum, mc, agreement));
}

}  // namespace

void add_calibrate_budget(CLI::App& calibrate) {
    auto options = std::make_shared<BudgetOptions>();
    auto* budget = calibrate.add_subcommand(
        "budget",
        "Work out an uncertainty budget, by the GUM and by Monte Carlo.\n"
        "FILE is TOML: model = \"expression\" with + - * / ^ sqrt exp log sin cos; one [[input]] per quantity with name,\n"
        "value, u or half_width, distribution = normal, rectangular, triangular, arcsine or t, dof; [[correlation]] with\n"
        "a, b, r; [report] probability = 0.95. The same --seed gives the same numbers.");
    budget->add_option("FILE", options->file, "TOML file")->required();
    budget->add_option("--seed", options->seed, "seed of the Monte Carlo trials (default 1)");
    budget->add_option("--trials", options->trials, "number of trials (default 1000000)")->check(CLI::Range(10000, 20000000));
    budget->add_option("--interval", options->interval, "symmetric (default) or shortest coverage interval")
        ->check(CLI::IsMember({"symmetric", "shortest"}));
    budget->add_flag("--json", options->json, "print one JSON object");
    budget->callback([options] { run(*options); });
}

}  // namespace halfturn::command
