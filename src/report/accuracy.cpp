#include "report/accuracy.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "calibrate/probability.hpp"
#include "calibrate/stray_load.hpp"
#include "core/number_text.hpp"

namespace halfturn::report {
namespace {

using namespace calibrate;

constexpr std::size_t trials = 200000;
constexpr double probability = 0.95;
// In the order in which a statement lists them.
constexpr std::string_view certificate_kinds[] = {"force", "class7500", "class376",  "travel",    "stiffness",
                                                  "pitch", "lag",       "eccentric", "side-load", "torsion"};

// Degrees of freedom that give this coverage factor: certificates keep k.
double dof_of(double k) {
    if (k <= normal_coverage_factor(probability) * (1 + 1e-6)) return std::numeric_limits<double>::infinity();
    double low = 1, high = 1e6;
    for (int i = 0; i < 60; ++i) {
        const double middle = std::sqrt(low * high);
        (student_coverage_factor(probability, middle) > k ? low : high) = middle;
    }
    return high;
}

std::string force_words(const JsonValue& result) {
    std::string words;
    if (const JsonValue* points = result.find("uncertainty");
        points && points->kind() == JsonValue::Kind::array && !points->items().empty()) {
        const JsonValue& top = points->items().back();
        const auto force = number_in(top, "force_N"), U = number_in(top, "U_N");
        if (force && U) words = "± " + figures_text(*U, 2) + " N at " + figures_text(*force, 3) + " N (95 %)";
    }
    const auto lowest = number_in(result, "lowest_usable_N");
    return words + (lowest ? ", usable from " + figures_text(*lowest, 3) + " N" : ", nowhere within what was asked");
}

std::string words_of(const KeptCertificate& kept) {
    const auto value = [&](const char* key) { return number_in(kept.result, key); };
    if (kept.kind == "force") return force_words(kept.result);
    if (kept.kind == "class7500" || kept.kind == "class376") {
        const JsonValue* name = kept.result.find("class");
        std::string words = std::string(kept.kind == "class376" ? "ISO 376" : "ISO 7500-1") + " class " +
                            (name && name->kind() == JsonValue::Kind::text ? name->text() : "?");
        if (const auto lowest = value("lowest_N")) words += ", from " + figures_text(*lowest, 3) + " N";
        return words;
    }
    if (kept.kind == "travel" && value("partial_surface_contact_error_mm") && value("U_mm"))
        return "error up to " + fixed_text(*value("partial_surface_contact_error_mm"), 3) + " mm, ± " +
               fixed_text(*value("U_mm"), 3) + " mm (95 %)";
    if (kept.kind == "stiffness" && value("stiffness_N_per_mm") && value("stiffness_u"))
        return figures_text(*value("stiffness_N_per_mm"), 3) + " N/mm, standard uncertainty " +
               figures_text(*value("stiffness_u"), 2) + " N/mm";
    if (kept.kind == "pitch" && value("pitch_mm") && value("u_mm"))
        return fixed_text(*value("pitch_mm"), 4) + " mm, standard uncertainty " + figures_text(*value("u_mm"), 2) + " mm";
    if (calibrate::stray_of(kept.kind) && value("swing_percent") && value("U_swing_percent") && value("whole_percent"))
        return "± " + figures_text(*value("swing_percent"), 2) +
               " % of the force (U = " + figures_text(*value("U_swing_percent"), 2) + " %), in all up to " +
               figures_text(*value("whole_percent"), 2) + " %, as jobs bring it";
    if (kept.kind == "lag")
        return value("fastest_turns_per_s")
                   ? "turn no faster than " + figures_text(*value("fastest_turns_per_s"), 2) + " turns a second"
                   : "measured";
    return "can't be read";
}

// One instrument's part of a lag certificate, by the name of what it measures.
const JsonValue* lag_channel(const KeptCertificate* lag, std::string_view begins) {
    const JsonValue* list = lag ? lag->result.find("channels") : nullptr;
    if (!list || list->kind() != JsonValue::Kind::array) return nullptr;
    for (const JsonValue& one : list->items())
        if (const JsonValue* name = one.find("channel");
            name && name->kind() == JsonValue::Kind::text && name->text().find(begins) != std::string::npos)
            return &one;
    return nullptr;
}

CombinedAccuracy combine(Budget budget) {
    budget.probability = probability;
    GumResult gum = evaluate_gum(budget);
    MonteCarloResult monte_carlo = evaluate_monte_carlo(budget, trials, 1, CoverageInterval::symmetric);
    return {std::move(budget), std::move(gum), monte_carlo};
}

BudgetInput normal(const char* name, double value, double u, double dof = std::numeric_limits<double>::infinity()) {
    BudgetInput input;
    input.name = name, input.value = value, input.u = u, input.dof = dof;
    // Few degrees of freedom count in Monte Carlo, too.
    if (std::isfinite(dof)) input.distribution = Distribution::student;
    return input;
}

BudgetInput within(const char* name, Distribution distribution, double half_width) {
    BudgetInput input;
    input.name = name, input.distribution = distribution, input.u = standard_uncertainty(distribution, half_width);
    return input;
}

BudgetInput anywhere(const char* name) { return within(name, Distribution::rectangular, 1); }

struct Numbers {
    std::optional<double> stiffness, stiffness_u, pitch, pitch_u, force_rate, travel_rate, travel_lag, travel_lag_u, travel_U, travel_k;
};

class Statement {
public:
    Statement(Accuracy& into, const KeptCertificate* force, const KeptCertificate* travel, const KeptCertificate* stiffness,
              const KeptCertificate* pitch, const KeptCertificate* lag, std::vector<const KeptCertificate*> stray)
        : into_(into), force_(force), stray_(std::move(stray)) {
        const auto take = [](const KeptCertificate* kept, const char* key) { return kept ? number_in(kept->result, key) : std::nullopt; };
        numbers_.stiffness = take(stiffness, "stiffness_N_per_mm"), numbers_.stiffness_u = take(stiffness, "stiffness_u");
        numbers_.pitch = take(pitch, "pitch_mm"), numbers_.pitch_u = take(pitch, "u_mm");
        numbers_.travel_U = take(travel, "U_mm"), numbers_.travel_k = take(travel, "k");
        if (const JsonValue* channel = lag_channel(lag, "force")) numbers_.force_rate = number_in(*channel, "updates_per_s");
        if (const JsonValue* channel = lag_channel(lag, "travel")) {
            numbers_.travel_rate = number_in(*channel, "updates_per_s");
            numbers_.travel_lag = number_in(*channel, "lag_s"), numbers_.travel_lag_u = number_in(*channel, "lag_u_s");
        }
    }

    void run() {
        say_missing();
        forces();
        turn();
    }

private:
    bool turning() const {
        return into_.speed_turns_per_s > 0 && numbers_.stiffness && numbers_.stiffness_u && numbers_.pitch && numbers_.pitch_u &&
               numbers_.force_rate && *numbers_.force_rate > 0;
    }

    void say_missing() {
        const auto missing = [&](bool there, const char* what) {
            if (!there) into_.missing.push_back(what);
        };
        missing(force_ != nullptr, "force: no certificate, so nothing is said of forces");
        missing(numbers_.travel_U.has_value(), "travel: no certificate, so nothing is said of turns read from travel");
        missing(numbers_.stiffness.has_value(),
                "stiffness of the press: no certificate, so the force that a turning screw hides is not known");
        missing(numbers_.pitch.has_value(), "pitch of the screw: no certificate, so turns can't be worked out from travel");
        missing(numbers_.force_rate && numbers_.travel_rate,
                "lag: no certificate with channels named force and travel, so nothing is said of a turning screw");
        missing(stray_.front() != nullptr,
                "load beside the cell's axis: no certificate, so what a drift with reach does to the force is not in it");
        missing(into_.speed_turns_per_s > 0,
                "speed: the lag certificate names no fastest speed and none was given, so forces are those at rest");
    }

    Budget force_budget(double force_N, double u_N, double k, bool turning) const {
        Budget budget;
        budget.inputs = {normal("force_at_rest", force_N, u_N, dof_of(k))};
        budget.model = "force_at_rest";
        add_stray(budget);
        if (!turning) return budget;
        budget.model += " + stiffness * pitch * speed / rate * (1 + gap) / 2";
        budget.inputs.push_back(normal("stiffness", *numbers_.stiffness, *numbers_.stiffness_u));
        budget.inputs.push_back(normal("pitch", *numbers_.pitch, *numbers_.pitch_u));
        budget.inputs.push_back(normal("speed", into_.speed_turns_per_s, 0));
        budget.inputs.push_back(normal("rate", *numbers_.force_rate, 0));
        budget.inputs.push_back(anywhere("gap"));
        return budget;
    }

    bool stray_known() const {
        return std::any_of(stray_.begin(), stray_.end(), [](const KeptCertificate* kept) { return kept != nullptr; });
    }

    // What jobs bring besides the force. A load that is swept round the cell makes a sine, so its values are spread as arcsine.
    void add_stray(Budget& budget) const {
        constexpr std::pair<const char*, Distribution> parts[] = {
            {"eccentric", Distribution::arcsine}, {"side_load", Distribution::rectangular}, {"torsion", Distribution::rectangular}};
        std::string sum;
        for (std::size_t i = 0; i < std::size(parts); ++i) {
            const auto percent = stray_[i] ? number_in(stray_[i]->result, "whole_percent") : std::nullopt;
            if (!percent) continue;
            budget.inputs.push_back(within(parts[i].first, parts[i].second, *percent / 100));
            sum += std::string(" + ") + parts[i].first;
        }
        if (!sum.empty()) budget.model += " * (1" + sum + ")";
    }

    void forces() {
        const JsonValue* list = force_ ? force_->result.find("uncertainty") : nullptr;
        if (!list || list->kind() != JsonValue::Kind::array) return;
        if (turning()) into_.hidden_N = *numbers_.stiffness * *numbers_.pitch * into_.speed_turns_per_s / *numbers_.force_rate;
        for (const JsonValue& one : list->items()) {
            const auto force_N = number_in(one, "force_N"), u_N = number_in(one, "u_N"), k = number_in(one, "k"),
                       U_N = number_in(one, "U_N");
            if (!force_N || !u_N || !k || !U_N) continue;
            const bool last = &one == &list->items().back();
            // Of forces that were taken several times, the last and largest will do.
            const JsonValue* next = last ? nullptr : &one + 1;
            if (next && number_in(*next, "force_N").value_or(0) < 1.02 * *force_N) continue;
            ForceAccuracy accuracy{*force_N, *U_N, {}};
            if (stray_known()) accuracy.at_rest_U_N = evaluate_gum(force_budget(*force_N, *u_N, *k, false)).U;
            const Budget budget = force_budget(*force_N, *u_N, *k, turning());
            if (turning()) accuracy.turning_U_N = evaluate_gum(budget).U;
            into_.forces.push_back(accuracy);
            if (last) into_.force = combine(budget);
        }
    }

    void turn() {
        if (!numbers_.travel_U || !numbers_.travel_k || !numbers_.pitch || !numbers_.pitch_u || !(*numbers_.pitch > 0)) return;
        Budget budget;
        budget.model = "travel / pitch";
        budget.inputs = {normal("travel", *numbers_.pitch, *numbers_.travel_U / *numbers_.travel_k, dof_of(*numbers_.travel_k)),
                         normal("pitch", *numbers_.pitch, *numbers_.pitch_u)};
        if (into_.speed_turns_per_s > 0 && numbers_.travel_rate && *numbers_.travel_rate > 0 && numbers_.travel_lag &&
            numbers_.travel_lag_u) {
            budget.model += " + speed * (lag + (1 + gap) / (2 * rate))";
            budget.inputs.push_back(normal("speed", into_.speed_turns_per_s, 0));
            budget.inputs.push_back(normal("lag", *numbers_.travel_lag, *numbers_.travel_lag_u));
            budget.inputs.push_back(normal("rate", *numbers_.travel_rate, 0));
            budget.inputs.push_back(anywhere("gap"));
        }
        into_.turn = combine(std::move(budget));
    }

    Accuracy& into_;
    const KeptCertificate* force_;
    std::vector<const KeptCertificate*> stray_;  // eccentric, side load, torsion; null where there is none
    Numbers numbers_;
};

}  // namespace

std::vector<Accuracy> rig_accuracy(const std::vector<KeptCertificate>& all, const std::string& rig, const std::string& day,
                                   std::optional<double> speed_turns_per_s) {
    std::set<std::string> configurations;
    for (const KeptCertificate& kept : all)
        if (kept.rig == rig && kept.superseded_by.empty()) configurations.insert(kept.configuration);
    if (configurations.size() > 1) configurations.erase("");
    std::vector<Accuracy> statement;
    for (const std::string& configuration : configurations) {
        Accuracy one;
        one.configuration = configuration;
        std::map<std::string_view, const KeptCertificate*> newest;  // by kind; null where there is none
        for (const std::string_view kind : certificate_kinds) {
            const KeptCertificate*& newest_of_kind = newest[kind];
            std::set<std::string> channels;
            // The list comes newest first; what was made for this very configuration goes before what holds for all.
            for (const bool own : {true, false})
                for (const KeptCertificate& kept : all) {
                    if (kept.rig != rig || kept.kind != kind || !kept.superseded_by.empty()) continue;
                    if (own != (kept.configuration == configuration) || (!own && !kept.configuration.empty())) continue;
                    if (!channels.insert(kept.channel).second) continue;
                    if (!newest_of_kind) newest_of_kind = &kept;
                    one.terms.push_back({&kept, words_of(kept), certificate_state(kept, day)});
                }
        }
        for (const AccuracyTerm& term : one.terms) one.all_valid = one.all_valid && (term.state == "valid" || term.state == "due soon");
        const KeptCertificate* lag = newest["lag"];
        one.speed_turns_per_s = speed_turns_per_s.value_or(lag ? number_in(lag->result, "fastest_turns_per_s").value_or(0) : 0);
        Statement(one, newest["force"], newest["travel"], newest["stiffness"], newest["pitch"], lag,
                  {newest["eccentric"], newest["side-load"], newest["torsion"]})
            .run();
        statement.push_back(std::move(one));
    }
    return statement;
}

}  // namespace halfturn::report
