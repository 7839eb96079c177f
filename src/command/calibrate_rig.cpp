// halfturn calibrate force, travel, stiffness, pitch and lag: a rig's own instruments, from readings typed or
// logged.
#include <memory>
#include <string>

#include "calibrate/csv_readings.hpp"
#include "calibrate/force_series.hpp"
#include "calibrate/pitch.hpp"
#include "calibrate/step_test.hpp"
#include "calibrate/stiffness.hpp"
#include "calibrate/travel.hpp"
#include "command/calibrate_commands.hpp"
#include "command/calibrate_keep.hpp"
#include "command/calibrate_report.hpp"
#include "core/json_writer.hpp"
#include "core/number_text.hpp"

namespace halfturn::command {
namespace {

using namespace calibrate;

// Loading a stack by hand bends and stores energy; said before every series that asks for it.
constexpr const char* care =
    "\nLoad slowly, wear eye protection, keep hands clear, stay below the rated load of every part; a loaded "
    "stack\n"
    "stores energy. Local rules and the part maker's word come first.";

struct RigOptions {
    std::uint64_t seed = 1;
    double stiffness_N_per_mm = 0, pitch_mm = 0, allowed_N = 0;
};

void put_candidates(JsonWriter& json, const DegreeChoice& choice) {
    json.key("degrees").array();
    for (const auto& candidate : choice.candidates) {
        json.object()
            .put("degree", candidate.degree)
            .put("residual_sd", candidate.residual_sd)
            .put("p_higher", candidate.p_higher);
        put_optional(json, "p_lack", candidate.p_lack);
        json.end();
    }
    json.end();
}

std::string percent(double value) { return figures_text(value, 3) + " %"; }

// ---- force ----

Report report_force(const CsvReadings& table, const RigOptions& options) {
    const ForceSeries series = read_force_series(table);
    const ForceSeriesResult r = calibrate_force(series, options.seed);
    JsonWriter json;
    json.object().put("degree", r.curve.degree);
    put_numbers(json, "coefficients", r.curve.coefficients);
    put_numbers(json, "standard_uncertainties", r.curve.standard_uncertainties);
    put_matrix(json, "covariance", r.curve.covariance);
    json.put("residual_sd_N", *r.curve.residual_sd).put("dof", r.curve.dof);
    put_candidates(json, r.choice);
    json.key("range").array().number(r.curve.x_low).number(r.curve.x_high).end();
    json.key("astm_e74")
        .object()
        .put("lower_limit_factor_N", r.limit.factor_N)
        .put("class_AA_from_N", r.limit.class_AA_from_N)
        .put("class_A_from_N", r.limit.class_A_from_N)
        .end();
    put_optional(json, "hysteresis_percent", r.hysteresis_percent);
    json.put("zero_return_percent", r.zero_return_percent);
    json.key("positions").array();
    for (const auto& p : r.positions)
        json.object().put("position", p.position).put("error_percent", p.error_percent).end();
    json.end();
    put_optional(json, "position_spread_percent", r.position_spread_percent);
    json.key("uncertainty").array();
    for (const auto& u : r.uncertainty)
        json.object().put("force_N", u.force_N).put("u_N", u.u_N).put("k", u.k).put("U_N", u.U_N).end();
    json.end();
    put_optional(json, "lowest_usable_N", r.lowest_usable_N);
    json.key("budget").object();
    put_budget(json, r.budget, r.gum, r.monte_carlo);
    json.end().end();
    std::string out = "Force over indication, degree " + std::to_string(r.curve.degree) + ": calibration = [";
    for (std::size_t i = 0; i < r.curve.coefficients.size(); ++i)
        out += (i ? ", " : "") + number_text(r.curve.coefficients[i]);
    out += "]\nScatter about it " + figures_text(*r.curve.residual_sd, 3) + " N with " +
           std::to_string(r.curve.dof) + " degrees of freedom\n";
    out += "ASTM E74: lower limit factor " + figures_text(r.limit.factor_N, 3) + " N; class A from " +
           figures_text(r.limit.class_A_from_N, 3) + " N, class AA from " +
           figures_text(r.limit.class_AA_from_N, 3) + " N" +
           (r.curve.point_x.size() < 30 ? " (from fewer than the 30 readings the practice asks for)" : "") +
           "\n";
    if (r.hysteresis_percent) out += "Hysteresis " + percent(*r.hysteresis_percent) + " of capacity\n";
    out += "Zero return " + percent(r.zero_return_percent) + " of capacity\n";
    for (const auto& p : r.positions)
        out += "Load at " + p.position + ": error " + percent(p.error_percent) + "\n";
    for (const auto& u : r.uncertainty)
        out += "At " + figures_text(u.force_N, 4) + " N: U = " + figures_text(u.U_N, 3) + " N (" +
               percent(u.U_N / u.force_N * 100) + "), k = " + fixed_text(u.k, 2) + "\n";
    out += r.lowest_usable_N ? "Usable within " + percent(series.allowed_percent) + " from " +
                                   figures_text(*r.lowest_usable_N, 4) + " N upward\n"
                             : "Nowhere usable within " + percent(series.allowed_percent) + "\n";
    return {json.take(),
            out + "\nBudget at the highest force:\n" + budget_text(r.budget, r.gum, r.monte_carlo)};
}

// ---- travel ----

Report report_travel(const CsvReadings& table, const RigOptions& options) {
    const TravelReadings readings = read_travel(table);
    const TravelResult r = calibrate_travel(readings, options.seed);
    JsonWriter json;
    json.object().key("points").array();
    for (const auto& p : r.points)
        json.object()
            .put("face", p.face)
            .put("block_mm", p.block_mm)
            .put("count", p.count)
            .put("mean_error_mm", p.mean_error_mm)
            .put("worst_error_mm", p.worst_error_mm)
            .put("spread_mm", p.spread_mm)
            .end();
    json.end()
        .put("partial_surface_contact_error_mm", r.partial_surface_contact_error_mm)
        .put("repeatability_mm", r.repeatability_mm);
    json.key("scale_shift_errors").array();
    for (const auto& shift : r.scale_shift)
        json.object().put("face", shift.face).put("error_mm", shift.error_mm).end();
    json.end();
    if (r.scale)
        json.put("scale_error_per_mm", r.scale->coefficients[1])
            .put("scale_error_u_per_mm", r.scale->standard_uncertainties[1]);
    json.put("U_mm", r.U_mm).put("k", r.k);
    if (r.conformity) json.put("conformity", conformity_name(*r.conformity));
    json.key("budget").object();
    put_budget(json, r.budget, r.gum, r.monte_carlo);
    json.end().end();
    std::string out;
    for (const auto& p : r.points)
        out += p.face + " " + number_text(p.block_mm) + " mm: mean error " + fixed_text(p.mean_error_mm, 4) +
               " mm, worst " + fixed_text(p.worst_error_mm, 4) + " mm, spread " + fixed_text(p.spread_mm, 4) +
               " mm of " + std::to_string(p.count) + "\n";
    out += "Partial surface contact error " + fixed_text(r.partial_surface_contact_error_mm, 4) +
           " mm, repeatability " + fixed_text(r.repeatability_mm, 4) + " mm\n";
    for (const auto& shift : r.scale_shift)
        out += "Scale shift error, " + shift.face + ": " + fixed_text(shift.error_mm, 4) + " mm\n";
    out += "U = " + fixed_text(r.U_mm, 4) + " mm (95 %), k = " + fixed_text(r.k, 2) + "\n";
    if (r.conformity)
        out += "Against a limit of ± " + number_text(*readings.limit_mm) +
               " mm (ISO 14253-1): " + std::string(conformity_name(*r.conformity)) + "\n";
    return {json.take(),
            out + "\nBudget at the longest block:\n" + budget_text(r.budget, r.gum, r.monte_carlo)};
}

// ---- stiffness ----

Report report_stiffness(const CsvReadings& table) {
    const StiffnessResult r = fit_stiffness(read_blocked_pull(table));
    JsonWriter json;
    json.object()
        .put("stiffness_N_per_mm", r.N_per_mm)
        .put("stiffness_u", r.u_N_per_mm)
        .put("from_N", r.from_N)
        .put("highest_N", r.highest_N);
    json.put("degree", r.curve.degree);
    put_numbers(json, "coefficients", r.curve.coefficients);
    put_numbers(json, "standard_uncertainties", r.curve.standard_uncertainties);
    put_matrix(json, "covariance", r.curve.covariance);
    put_candidates(json, r.choice);
    json.key("k_of_F").array();
    for (const auto& k : r.k_of_F)
        json.object().put("force_N", k.force_N).put("N_per_mm", k.N_per_mm).put("u", k.u).end();
    json.end().put("toe_mm", r.toe_mm);
    put_optional(json, "backlash_mm", r.backlash_mm);
    put_optional(json, "hysteresis_mm", r.hysteresis_mm);
    json.end();
    std::string out = "Stiffness " + figures_text(r.N_per_mm, 4) + " N/mm, standard uncertainty " +
                      figures_text(r.u_N_per_mm, 2) + " N/mm, from " + figures_text(r.from_N, 3) + " to " +
                      figures_text(r.highest_N, 4) +
                      " N\n  stiffness_N_per_mm = " + figures_text(r.N_per_mm, 4) +
                      "\n  stiffness_u = " + figures_text(r.u_N_per_mm, 2) + "\n";
    if (r.curve.degree > 1) out += "It is not constant:\n";
    for (const auto& k : r.k_of_F)
        if (r.curve.degree > 1)
            out += "  at " + figures_text(k.force_N, 4) + " N: " + figures_text(k.N_per_mm, 4) + " ± " +
                   figures_text(k.u, 2) + " N/mm\n";
    out += "Soft beginning: " + fixed_text(r.toe_mm, 3) + " mm\n";
    if (r.backlash_mm)
        out += "Backlash " + fixed_text(*r.backlash_mm, 3) + " mm, hysteresis " +
               fixed_text(*r.hysteresis_mm, 3) + " mm\n";
    else
        out += "No way down was recorded, so backlash and hysteresis are not known.\n";
    return {json.take(), out + "It belongs to this drift and this free span of the screw.\n"};
}

// ---- pitch ----

Report report_pitch(const CsvReadings& table) {
    const PitchResult r = fit_pitch(read_pitch(table));
    JsonWriter json;
    json.object()
        .put("pitch_mm", r.pitch_mm)
        .put("u_mm", r.u_mm)
        .put("direction", r.direction)
        .put("turns", r.turns);
    json.put("residual_sd_mm", r.residual_sd_mm).key("lost").array();
    for (const auto& l : r.lost)
        json.object()
            .put("before_reading", static_cast<std::int64_t>(l.before_reading))
            .put("counts", l.counts)
            .end();
    json.end().put("least_counts_seen", r.least_counts_seen);
    if (r.conformity) json.put("conformity", conformity_name(*r.conformity));
    json.end();
    std::string out = "Pitch " + fixed_text(r.pitch_mm, 5) + " mm, standard uncertainty " +
                      figures_text(r.u_mm, 2) + " mm, over " + figures_text(r.turns, 3) + " turns; travel " +
                      (r.direction > 0 ? "grows" : "falls") + " with the counts\n";
    for (const auto& l : r.lost)
        out += number_text(std::abs(l.counts)) + " counts " + (l.counts > 0 ? "lost" : "too many") +
               " before reading " + std::to_string(l.before_reading + 1) + "\n";
    if (r.lost.empty())
        out += "No lost counts seen; fewer than about " + number_text(r.least_counts_seen) + " lost at once would not show.\n";
    if (r.conformity)
        out +=
            "Against the nominal pitch (ISO 14253-1): " + std::string(conformity_name(*r.conformity)) + "\n";
    return {json.take(), out};
}

// ---- lag ----

Report report_lag(const CsvReadings& table, const RigOptions& options) {
    const auto channels = lags_of(read_step_tests(table));
    const bool rate_wanted = options.stiffness_N_per_mm > 0 && options.pitch_mm > 0 && options.allowed_N > 0;
    JsonWriter json;
    json.object().key("channels").array();
    std::string out;
    double slowest = std::numeric_limits<double>::infinity();
    for (const ChannelLag& c : channels) {
        json.object()
            .put("channel", c.channel)
            .put("lag_s", c.lag.s)
            .put("lag_u_s", c.lag.u_s)
            .put("lag_sd_s", c.lag_sd_s)
            .put("rise_s", c.rise_s);
        json.put("noise_sd", c.noise_sd).put("readings_per_s", c.readings_per_s).put("updates_per_s", c.updates_per_s).end();
        out += c.channel + ": " +
               (&c == &channels.front() ? "the others are measured against it"
                                        : fixed_text(c.lag.s * 1000, 1) + " ms later than " + channels.front().channel +
                                              " (standard uncertainty " + fixed_text(c.lag.u_s * 1000, 1) + " ms)") +
               "; rises in " + fixed_text(c.rise_s * 1000, 1) + " ms; noise " + figures_text(c.noise_sd, 2) + "; " +
               fixed_text(c.readings_per_s, 1) + " readings, " + fixed_text(c.updates_per_s, 1) + " updates a second\n";
        if (rate_wanted)
            slowest = std::min(slowest, fastest_turns_per_s(options.allowed_N, options.stiffness_N_per_mm, options.pitch_mm,
                                                            c.updates_per_s, c.lag.s));
    }
    json.end();
    if (!channels.empty() && channels.front().steps > 1) out += "From " + std::to_string(channels.front().steps) + " steps.\n";
    if (!channels.empty()) json.put("steps", channels.front().steps);
    if (rate_wanted) {
        json.put("fastest_turns_per_s", slowest);
        out += "Turn no faster than " + figures_text(slowest, 2) +
               " turns a second for force and travel to agree within " + number_text(options.allowed_N) +
               " N\n";
    }
    return {json.end().take(), out};
}

}  // namespace

Report report_series(const std::string& kind, const CsvReadings& table) {
    if (kind == "force") return report_force(table, {});
    if (kind == "travel") return report_travel(table, {});
    if (kind == "lag") return report_lag(table, {});
    if (const auto stray = stray_of(kind)) return report_stray(*stray, table);
    return kind == "pitch" ? report_pitch(table) : report_stiffness(table);
}

void add_calibrate_rig(CLI::App& calibrate) {
    auto options = std::make_shared<RigOptions>();
    const auto add_seed = [options](CLI::App& command) {
        command.add_option("--seed", options->seed, "seed of the Monte Carlo trials (default 1)");
    };
    add_readings_command(calibrate, "force",
                         std::string("Calibrate the rig's load cell.\n"
                                     "FILE is CSV with the columns indicated and reference_N (a "
                                     "reference cell in the same stack, both read at rest)\n"
                                     "or mass_kg (dead weights), and optionally reference_u_N, direction "
                                     "(up or down) and position (where the load\n"
                                     "sat, or how the cell was turned; empty: as used). Notes: `# "
                                     "capacity_N`, `# resolution` (of the indication),\n"
                                     "`# reference_u_percent`, `# zero_before`, `# zero_after`, `# "
                                     "allowed_percent` (1), `# degree`; with mass_kg\n"
                                     "`# gravity_m_per_s2`, `# gravity_u_m_per_s2`, `# "
                                     "air_density_kg_per_m3`, `# mass_density_kg_per_m3`,\n"
                                     "`# mass_u_percent`.") +
                             care,
                         [options](const CsvReadings& table) { return report_force(table, *options); },
                         add_seed);
    add_readings_command(
        calibrate, "travel",
        "Calibrate the caliper against gauge blocks.\n"
        "FILE is CSV with the columns block_mm (0: jaws closed), indicated_mm and optionally face (outside, "
        "inside,\n"
        "depth, step). Notes: `# resolution_mm`, and optionally `# block_grade` (ISO 3650, default 1) or `# "
        "block_u_mm`,\n"
        "`# temperature_half_width_K` (2), `# abbe_mm` and `# jaw_angle_mrad` (its mount), `# limit_mm`.",
        [options](const CsvReadings& table) { return report_travel(table, *options); },
        add_seed);
    add_readings_command(calibrate, "stiffness",
                         std::string("Stiffness of the press from a blocked pull.\n"
                                     "FILE is CSV with the columns travel_mm (screw) and force_N in the "
                                     "order taken, each read at rest: up to the\n"
                                     "highest force, and back down for backlash and hysteresis. Notes, all "
                                     "optional: `# from_N` (default 20 % of the\n"
                                     "highest force), `# travel_u_percent`, `# force_u_percent`.") +
                             care,
                         report_stiffness);
    add_readings_command(calibrate, "pitch",
                         "Pitch of the screw and lost counts, from counter and caliper over many turns.\n"
                         "FILE is CSV with the columns counts (or turns) and travel_mm, read at rest. Notes: "
                         "`# counts_per_turn`, and\n"
                         "optionally `# travel_resolution_mm` (0.01), `# travel_u_percent`, `# "
                         "counter_wrap`, `# nominal_pitch_mm`,\n"
                         "`# tolerance_mm`.",
                         report_pitch);
    add_readings_command(
        calibrate, "lag",
        "Lag, noise and true rate of each instrument, from one quick step all of them see.\n"
        "FILE is CSV with the columns t_s, channel and value, and for several steps `step` (its number; their mean is\n"
        "taken). The first channel is the one the others are measured against. With --stiffness, --pitch and --allowed it also says how fast the screw may be turned.",
        [options](const CsvReadings& table) { return report_lag(table, *options); },
        [options](CLI::App& lag) {
            lag.add_option("--stiffness", options->stiffness_N_per_mm, "stiffness of the press, N/mm");
            lag.add_option("--pitch", options->pitch_mm, "pitch of the screw, mm");
            lag.add_option("--allowed", options->allowed_N, "largest disagreement of force and travel, N");
        });
}

}  // namespace halfturn::command
