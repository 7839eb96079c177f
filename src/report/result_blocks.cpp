#include "report/result_blocks.hpp"

#include <algorithm>
#include <array>
#include <string>

#include "core/number_text.hpp"
#include "report/blocks.hpp"
#include "report/kept_certificates.hpp"

namespace halfturn::report {
namespace {

using namespace sheet;
using Kind = JsonValue::Kind;

struct Label {
    std::string_view key, words;
};

// By kind of certificate first ("class376/b_percent"), then by key alone. Units are the key's own.
constexpr std::array labels = {
    Label{"class376/b_percent", "reproducibility b, rotated"},
    Label{"class376/b_repeat_percent", "repeatability b′"},
    Label{"class376/fc_percent", "interpolation fc"},
    Label{"class7500/b_percent", "repeatability b"},
    Label{"class7500/q_percent", "accuracy q, each series"},
    Label{"class7500/a_percent", "resolution a"},
    Label{"v_percent", "reversibility v"},
    Label{"f0_percent", "zero f0, of capacity"},
    Label{"f0_class", "class of the zero"},
    Label{"lowest_N", "lowest force of the range"},
    Label{"class_from", "From where each class holds"},
    Label{"degree", "degree of the curve"},
    Label{"dof", "degrees of freedom"},
    Label{"residual_sd_N", "scatter about the curve"},
    Label{"residual_sd_mm", "scatter about the line"},
    Label{"residual_sd", "scatter"},
    Label{"range", "range of the indication"},
    Label{"degrees", "Degrees that were compared"},
    Label{"p_higher", "chance that a higher degree is only noise"},
    Label{"p_lack", "chance that the misfit is only noise"},
    Label{"astm_e74", "Lower limit by ASTM E74"},
    Label{"lower_limit_factor_N", "lower limit factor"},
    Label{"class_AA_from_N", "class AA from"},
    Label{"class_A_from_N", "class A from"},
    Label{"hysteresis_percent", "hysteresis, of capacity"},
    Label{"zero_return_percent", "zero return, of capacity"},
    Label{"positions", "Load at other places"},
    Label{"position_spread_percent", "spread between places of the load"},
    Label{"uncertainty", "Uncertainty at each force"},
    Label{"lowest_usable_N", "lowest usable force"},
    Label{"points", "At each point"},
    Label{"partial_surface_contact_error_mm", "partial surface contact error"},
    Label{"scale_shift_errors", "Scale shift errors"},
    Label{"scale_error_per_mm", "scale error, mm per mm"},
    Label{"scale_error_u_per_mm", "its standard uncertainty, mm per mm"},
    Label{"conformity", "within its limit (ISO 14253-1)"},
    Label{"stiffness_u", "its standard uncertainty, N/mm"},
    Label{"from_N", "from"},
    Label{"highest_N", "up to"},
    Label{"k_of_F", "Stiffness along the pull"},
    Label{"toe_mm", "soft beginning"},
    Label{"u_mm", "its standard uncertainty"},
    Label{"lost", "Lost counts"},
    Label{"channels", "Each channel"},
    Label{"fastest_turns_per_s", "turn no faster than"},
    Label{"covariance", "Covariance of the coefficients"},
    Label{"percent_per_mm", "once round it swings by ±"},
    Label{"N_per_N", "once round it swings by ±"},
    Label{"N_per_Nm", "it moves by"},
    Label{"u_percent_per_mm", "its standard uncertainty"},
    Label{"u_N_per_N", "its standard uncertainty"},
    Label{"u_N_per_Nm", "its standard uncertainty"},
    Label{"u_shift_percent", "its standard uncertainty"},
    Label{"u_shift_N", "its standard uncertainty"},
    Label{"U_percent_per_mm", "its expanded uncertainty U"},
    Label{"U_N_per_N", "its expanded uncertainty U"},
    Label{"U_N_per_Nm", "its expanded uncertainty U"},
    Label{"U_swing_percent", "its expanded uncertainty U"},
    Label{"direction_deg", "highest at"},
    Label{"angle_deg", "at"},
    Label{"eccentric/force_N", "at about"},
    Label{"side-load/force_N", "at about"},
    Label{"torsion/force_N", "at about"},
    Label{"largest_offset_mm", "largest offset"},
    Label{"largest_side_N", "largest side load"},
    Label{"largest_torque_Nm", "largest torque"},
    Label{"side_N", "side load"},
    Label{"shift_percent", "the same all round, at the largest offset"},
    Label{"side-load/shift_N", "the same all round, at the largest side load"},
    Label{"torsion/shift_N", "the same either way, at the largest torque"},
    Label{"worst_percent", "worst single reading, of the force"},
    Label{"drift_percent", "drift of the undisturbed readings"},
    Label{"drift_N", "drift of the undisturbed readings"},
    Label{"scatter_percent", "scatter of the readings"},
    Label{"scatter_N", "scatter of the readings"},
    Label{"reach_mm", "what a job brings"},
    Label{"job_side_N", "what a job brings"},
    Label{"job_torque_Nm", "what a job brings"},
    Label{"swing_percent", "it then reckons with ±, of the force"},
    Label{"whole_percent", "in all up to, of the force"},
    Label{"places", "At each place"},
    Label{"count", "readings"},
};

// The longer before those that they end with. Some keys are nothing but their unit.
constexpr std::array units = {Label{"_percent_per_mm", "%/mm"},
                              Label{"_N_per_mm", "N/mm"},
                              Label{"_N_per_Nm", "N/Nm"},
                              Label{"_N_per_N", "N/N"},
                              Label{"_turns_per_s", "turns/s"},
                              Label{"_percent", "%"},
                              Label{"_mm", "mm"},
                              Label{"_um", "µm"},
                              Label{"_Nm", "Nm"},
                              Label{"_N", "N"},
                              Label{"_s", "s"},
                              Label{"_deg", "°"}};

std::string unit_of(std::string_view key) {
    for (const Label& unit : units)
        if (key == unit.key.substr(1) && key.find("_per_") != std::string_view::npos) return std::string(unit.words);
    if (key.ends_with("_per_s") && !key.ends_with("_turns_per_s")) return {};
    for (const Label& unit : units)
        if (key.ends_with(unit.key)) return std::string(unit.words);
    return {};
}

std::string words_of(std::string_view key, std::string_view kind) {
    const std::string special = std::string(kind) + "/" + std::string(key);
    for (const Label& label : labels)
        if (label.key == special || label.key == key) return std::string(label.words);
    std::string words(key);
    for (const Label& unit : units)
        if (words.ends_with(unit.key) && words.size() > unit.key.size()) {
            words.resize(words.size() - unit.key.size());
            break;
        }
    std::replace(words.begin(), words.end(), '_', ' ');
    return words;
}

std::string number_words(const JsonValue& value, std::string_view key) {
    const double number = value.number();
    if (value.number_as_text().find_first_of(".eE") == std::string::npos) return value.number_as_text();
    if (key.ends_with("_percent")) return fixed_text(number, 3);
    if (key == "k") return fixed_text(number, 2);
    if (key.ends_with("_deg")) return fixed_text(number, 0);
    if (key.find("_per_") != std::string_view::npos && (key.front() == 'u' || key.front() == 'U')) return short_number(number, 3);
    return short_number(number, 5);
}

std::string scalar_words(const JsonValue& value, std::string_view key);

std::string with_its_unit(const JsonValue& value, std::string_view key) {
    return value.is_null() ? "not known" : with_unit(scalar_words(value, key), unit_of(key));
}

std::string scalar_words(const JsonValue& value, std::string_view key) {
    switch (value.kind()) {
        case Kind::number: return number_words(value, key);
        case Kind::text: return value.text();
        case Kind::boolean: return value.boolean() ? "yes" : "no";
        case Kind::array: {
            std::string list;
            for (const JsonValue& one : value.items()) list += (list.empty() ? "" : "; ") + scalar_words(one, key);
            return list;
        }
        default: return "–";
    }
}

bool is_table(const JsonValue& value) {
    return value.kind() == Kind::array && !value.items().empty() && value.items().front().kind() == Kind::object;
}

bool is_matrix(const JsonValue& value) {
    return value.kind() == Kind::array && !value.items().empty() && value.items().front().kind() == Kind::array;
}

Table table_of(const JsonValue& rows, std::string_view kind) {
    Table table;
    for (const auto& [key, value] : rows.items().front().members()) {
        const std::string unit = unit_of(key);
        const bool list = value.kind() == Kind::array;
        table.columns.push_back({words_of(key, kind) + (unit.empty() ? "" : ", " + unit),
                                 value.kind() == Kind::text ? Align::left : Align::right, list ? 1.8 : 1.0});
    }
    for (const JsonValue& row : rows.items()) {
        table.rows.emplace_back();
        for (const auto& [key, first] : rows.items().front().members()) {
            const JsonValue* value = row.find(key);
            table.rows.back().push_back(value ? scalar_words(*value, key) : "–");
        }
    }
    return table;
}

Table matrix_of(const JsonValue& rows) {
    Table table;
    for (std::size_t i = 0; i < rows.items().front().items().size(); ++i)
        table.columns.push_back({"c" + std::to_string(i), Align::right, 1});
    for (const JsonValue& row : rows.items()) {
        table.rows.emplace_back();
        for (const JsonValue& value : row.items()) table.rows.back().push_back(short_number(value.number(), 5));
        table.rows.back().resize(table.columns.size());
    }
    return table;
}

// The fitted curve: each coefficient with its uncertainty.
void put_curve(std::vector<Block>& blocks, const JsonValue& result, std::string_view kind) {
    const JsonValue* coefficients = result.find("coefficients");
    if (!coefficients || coefficients->items().empty()) return;
    const JsonValue* u = result.find("standard_uncertainties");
    put_heading(blocks, "Fit");
    put_text(blocks, kind == "force"       ? "Force in N = c0 + c1 x + c2 x² …, with x the indication."
                     : kind == "stiffness" ? "Travel in mm = c0 + c1 F + c2 F² …, with F the force in N."
                                           : "Reading = c0 + c1 F + c2 F² …, with F the force in N.");
    Table table{{{"", Align::left, 0.4},
                 {"coefficient", Align::right, 1},
                 {"standard uncertainty", Align::right, 1},
                 {"", Align::left, 1}},
                {}};
    for (std::size_t i = 0; i < coefficients->items().size(); ++i)
        table.rows.push_back({"c" + std::to_string(i), coefficients->items()[i].number_as_text(),
                              u && i < u->items().size() ? short_number(u->items()[i].number(), 3) : "not kept", ""});
    blocks.push_back({std::move(table)});
    if (const JsonValue* covariance = result.find("covariance"); covariance && is_matrix(*covariance)) {
        put_text(blocks, "Covariance of the coefficients:");
        blocks.push_back({matrix_of(*covariance)});
    }
}

// A block of its own: what the members don't go into the table of facts for.
bool stands_alone(std::string_view key, const JsonValue& value) {
    return key == "budget" || key == "coefficients" || key == "standard_uncertainties" || key == "covariance" ||
           value.kind() == Kind::object || is_table(value) || is_matrix(value);
}

}  // namespace

void put_budget(std::vector<Block>& blocks, const JsonValue& budget) {
    const JsonValue* parts = budget.find("contributions");
    if (!parts || !is_table(*parts)) return;
    put_heading(blocks, "Uncertainty budget");
    if (const JsonValue* model = budget.find("model")) put_text(blocks, "y = " + scalar_words(*model, "model"));
    Table table{{{"part", Align::left, 1.9},
                 {"value", Align::right, 1.1},
                 {"u", Align::right, 1},
                 {"distribution", Align::left, 1.2},
                 {"degrees of freedom", Align::right, 0.9},
                 {"sensitivity", Align::right, 1},
                 {"u in y", Align::right, 1},
                 {"share", Align::right, 0.7}},
                {}};
    const auto number = [](const JsonValue& part, const char* key, int figures) {
        const auto value = number_in(part, key);
        return value ? short_number(*value, figures) : std::string("∞");
    };
    for (const JsonValue& part : parts->items()) {
        const auto dof = number_in(part, "dof"), share = number_in(part, "share_percent");
        const JsonValue *name = part.find("name"), *distribution = part.find("distribution");
        std::string words = name ? scalar_words(*name, "name") : "?";
        std::replace(words.begin(), words.end(), '_', ' ');
        table.rows.push_back({words, number(part, "value", 5), number(part, "u", 3), distribution ? scalar_words(*distribution, "") : "",
                              dof && *dof < 1e9 ? fixed_text(*dof, 0) : "∞", number(part, "sensitivity", 4), number(part, "u_y", 3),
                              share ? fixed_text(*share, 1) + " %" : ""});
    }
    blocks.push_back({std::move(table)});
    Facts facts;
    const auto value = [&](const char* key, int figures) {
        const auto found = number_in(budget, key);
        return found ? short_number(*found, figures) : std::string();
    };
    const auto probability = number_in(budget, "probability");
    const std::string percent = probability ? figures_text(100 * *probability, 3) + " %" : std::string("?");
    facts.add("y", value("y", 6)).add("combined standard uncertainty u", value("u", 3));
    const auto dof = number_in(budget, "dof_eff");
    facts.add("effective degrees of freedom", dof && *dof < 1e9 ? fixed_text(*dof, 1) : "∞");
    facts.add("expanded uncertainty U = k u", value("U", 3) + " with k = " + value("k", 4) + ", for a coverage probability of " + percent);
    if (const JsonValue* monte_carlo = budget.find("monte_carlo"); monte_carlo && monte_carlo->kind() == Kind::object) {
        const auto low = number_in(*monte_carlo, "low"), high = number_in(*monte_carlo, "high"), u = number_in(*monte_carlo, "u"),
                   trials = number_in(*monte_carlo, "trials");
        if (low && high && u && trials)
            facts.add("Monte Carlo beside it", percent + " from " + short_number(*low, 6) + " to " + short_number(*high, 6) +
                                                   ", u = " + short_number(*u, 3) + ", " + fixed_text(*trials, 0) + " trials");
    }
    facts.put(blocks);
    if (const JsonValue* says = budget.find("says")) put_text(blocks, scalar_words(*says, ""), Paragraph::Kind::small);
}

void put_result(std::vector<Block>& blocks, const JsonValue& result, std::string_view kind) {
    if (result.kind() != Kind::object) {
        put_text(blocks, "The result can't be read; halfturn verify says what is wrong.");
        return;
    }
    Facts facts(0.4);
    for (const auto& [key, value] : result.members())
        if (!stands_alone(key, value) && !(value.kind() == Kind::array && value.items().empty()))
            facts.add(words_of(key, kind), with_its_unit(value, key));
    facts.put(blocks);
    put_curve(blocks, result, kind);
    for (const auto& [key, value] : result.members()) {
        if (key == "budget" || key == "coefficients" || key == "standard_uncertainties" || key == "covariance") continue;
        if (is_table(value)) {
            put_heading(blocks, words_of(key, kind));
            blocks.push_back({table_of(value, kind)});
        } else if (value.kind() == Kind::object) {
            put_heading(blocks, words_of(key, kind));
            for (const auto& [inner, one] : value.members()) facts.add(words_of(inner, kind), with_its_unit(one, inner));
            facts.put(blocks);
        }
    }
    if (const JsonValue* budget = result.find("budget")) put_budget(blocks, *budget);
}

}  // namespace halfturn::report
