// halfturn calibrate budget FILE: an uncertainty budget by the GUM and by Monte Carlo.
#include <memory>
#include <string>

#include "calibrate/budget.hpp"
#include "calibrate/monte_carlo.hpp"
#include "command/calibrate_commands.hpp"
#include "command/calibrate_report.hpp"
#include "command/command.hpp"
#include "core/json_writer.hpp"

namespace halfturn::command {
namespace {

using namespace calibrate;

struct BudgetOptions {
    std::string file, interval = "symmetric";
    std::uint64_t seed = 1;
    std::size_t trials = 1000000;
    bool json = false;
};

void run(const BudgetOptions& options) {
    const Budget budget = read_budget(options.file);
    const GumResult gum = evaluate_gum(budget);
    const auto kind =
        options.interval == "shortest" ? CoverageInterval::shortest : CoverageInterval::symmetric;
    const MonteCarloResult mc = evaluate_monte_carlo(budget, options.trials, options.seed, kind);
    if (!options.json) return print(budget_text(budget, gum, mc));
    JsonWriter json;
    put_budget(json.object(), budget, gum, mc);
    print(json.end().take() + "\n");
}

}  // namespace

void add_calibrate_budget(CLI::App& calibrate) {
    add_subcommand(calibrate, "budget",
        "Work out an uncertainty budget, by the GUM and by Monte Carlo.\n"
        "FILE is TOML: model = \"expression\" with + - * / ^ sqrt exp log sin cos; one [[input]] per "
        "quantity with name,\n"
        "value, u or half_width, distribution = normal, rectangular, triangular, arcsine or t, dof; "
        "[[correlation]] with\n"
        "a, b, r; [report] probability = 0.95. The same --seed gives the same numbers.",
        [](CLI::App& budget) {
            auto options = std::make_shared<BudgetOptions>();
            budget.add_option("FILE", options->file, "TOML file")->required();
            budget.add_option("--seed", options->seed, "seed of the Monte Carlo trials (default 1)");
            budget.add_option("--trials", options->trials, "number of trials (default 1000000)")
                ->check(CLI::Range(10000, 20000000));
            budget.add_option("--interval", options->interval, "symmetric (default) or shortest coverage interval")
                ->check(CLI::IsMember({"symmetric", "shortest"}));
            budget.add_flag("--json", options->json, "print one JSON object");
            budget.callback([options] { run(*options); });
        });
}

}  // namespace halfturn::command
