// Reads the TOML form of a budget.
#include <algorithm>

#include "calibrate/budget.hpp"
#include "core/failure.hpp"
#include "files/checked_table.hpp"

namespace halfturn::calibrate {
namespace {

constexpr double any = 1e300;

Distribution distribution_of(const std::string& word) {
    if (word == "rectangular") return Distribution::rectangular;
    if (word == "triangular") return Distribution::triangular;
    if (word == "arcsine") return Distribution::arcsine;
    return word == "t" ? Distribution::student : Distribution::normal;
}

BudgetInput read_input(const CheckedTable& table) {
    BudgetInput input;
    input.name = table.text("name");
    if (!Expression::is_name(input.name))
        throw table.error("name", "must be a letter and then letters, digits or _, so that the model can use it, but is \"" +
                                      input.name + "\"");
    input.value = table.number("value", -any, any);
    const auto u = table.number_if("u", 0, any);
    const auto half_width = table.number_if("half_width", 0, any);
    if (u.has_value() == half_width.has_value())
        throw table.error(u ? "half_width" : "u",
                          u ? "stands beside u; keep one of them"
                            : "is missing; give u (standard uncertainty) or half_width");
    const std::string word =
        table.choice_if("distribution", {"normal", "rectangular", "triangular", "arcsine", "t"})
            .value_or(half_width ? "rectangular" : "normal");
    input.distribution = distribution_of(word);
    if (half_width && (word == "normal" || word == "t"))
        throw table.error("half_width", "does not fit the distribution \"" + word +
                                            "\", which has no ends; give u instead");
    input.u = u ? *u : standard_uncertainty(input.distribution, *half_width);
    if (const auto dof = table.number_if("dof", 0.1, std::numeric_limits<double>::infinity()))
        input.dof = *dof;
    else if (word == "t")
        throw table.error("dof", "is missing; a t distribution needs its degrees of freedom");
    input.note = table.text_if("note").value_or("");
    return input;
}

}  // namespace

Budget read_budget(const std::string& path) {
    const CheckedTable file = CheckedTable::from_file(path);
    Budget budget;
    budget.model = file.text("model");
    for (const auto& table : file.tables("input")) {
        budget.inputs.push_back(read_input(table));
        const auto same_name = [&](const auto& other) { return other.name == budget.inputs.back().name; };
        if (std::count_if(budget.inputs.begin(), budget.inputs.end(), same_name) > 1)
            throw table.error("name", "is used by another input already; give each its own");
    }
    if (budget.inputs.empty())
        throw file.error("input", "is missing; add one [[input]] for each quantity of the model");
    const auto position = [&](const CheckedTable& table, const char* key) {
        const std::string name = table.text(key);
        const auto found = std::find_if(budget.inputs.begin(), budget.inputs.end(),
                                        [&](const auto& i) { return i.name == name; });
        if (found == budget.inputs.end())
            throw table.error(key, "names \"" + name + "\", but no [[input]] has that name");
        return static_cast<std::size_t>(found - budget.inputs.begin());
    };
    for (const auto& table : file.tables("correlation")) {
        const BudgetCorrelation correlation{position(table, "a"), position(table, "b"),
                                            table.number("r", -1, 1)};
        if (correlation.a == correlation.b) throw table.error("b", "is the same input as a");
        budget.correlations.push_back(correlation);
    }
    const CheckedTable report = file.table("report");
    budget.probability = report.number_if("probability", 0.5, 0.9999).value_or(0.95);
    file.refuse_unknown_keys();
    // What only shows in the whole is found here, where the file's name is known.
    try {
        evaluate_gum(budget);
    } catch (const BadInput& error) {
        throw BadInput(path + ": " + error.what());
    }
    return budget;
}

}  // namespace halfturn::calibrate
