// halfturn calibrate eccentric, side-load and torsion: how far the rig's load cell moves under loads it should not feel.
#include <cmath>
#include <memory>
#include <string>

#include "calibrate/csv_readings.hpp"
#include "calibrate/stray_load.hpp"
#include "command/calibrate_commands.hpp"
#include "command/calibrate_keep.hpp"
#include "command/calibrate_report.hpp"
#include "core/json_writer.hpp"
#include "core/number_text.hpp"

namespace halfturn::command {
namespace {

using namespace calibrate;

std::string stray_json(const StrayWords& words, const StrayResult& r) {
    const std::string per(words.per_unit), dev = words.percent ? "deviation_percent" : "deviation_N";
    JsonWriter json;
    json.object().put("force_N", r.force_N).put("largest_" + std::string(words.amount), r.largest_amount);
    json.put(per, r.per_unit).put("u_" + per, r.u_per_unit).put("U_" + per, r.U_per_unit).put("k", r.k);
    if (words.angle) json.put("direction_deg", r.direction_deg);
    json.put(words.percent ? "shift_percent" : "shift_N", r.shift).put(words.percent ? "u_shift_percent" : "u_shift_N", r.u_shift);
    json.put("worst_percent", r.worst_percent).put(words.percent ? "scatter_percent" : "scatter_N", r.scatter).put("dof", r.dof);
    json.put(words.percent ? "drift_percent" : "drift_N", r.drift);
    json.put(words.of_job, r.job_amount)
        .put("swing_percent", r.swing_percent)
        .put("U_swing_percent", r.U_swing_percent)
        .put("whole_percent", r.whole_percent);
    if (r.conformity) json.put("conformity", conformity_name(*r.conformity));
    json.key("places").array();
    for (const auto& p : r.places) {
        json.object().put(words.amount, p.amount);
        if (words.angle) json.put("angle_deg", p.angle_deg);
        json.put(dev, p.deviation).put("count", p.count).end();
    }
    json.end().key("budget").object();
    put_budget(json, r.budget, r.gum, r.monte_carlo);
    return json.end().end().take();
}

std::string stray_text(const StrayWords& words, const StrayTest& test, const StrayResult& r) {
    const std::string unit(words.unit), dev = words.percent ? " %" : " N";
    std::string out = "At about " + figures_text(r.force_N, 4) + " N, against the undisturbed cell:\n";
    for (const auto& p : r.places)
        out += "  " + number_text(p.amount) + " " + unit + (words.angle ? " at " + number_text(p.angle_deg) + " degrees" : "") + ": " +
               figures_text(p.deviation, 3) + dev + " (" + std::to_string(p.count) + (p.count == 1 ? " reading)\n" : " readings)\n");
    const std::string per = (words.percent ? " % of the force per " : " N per ") + unit;
    out += std::string(words.angle ? "Once round it swings by ± " : "It moves by ") + figures_text(r.per_unit, 3) + per +
           ", U = " + figures_text(r.U_per_unit, 2) + per + " (95 %, k = " + fixed_text(r.k, 2) + ")" +
           (words.angle ? ", highest at " + fixed_text(r.direction_deg, 0) + " degrees" : "") + "\n";
    out += std::string(words.angle ? "The same all round: " : "The same either way: ") + figures_text(r.shift, 2) + dev + " at " +
           number_text(r.largest_amount) + " " + unit + "\n";
    if (std::fabs(r.per_unit) < 2 * r.u_per_unit)
        out += "That is no more than its own doubt: take " + figures_text(std::fabs(r.per_unit) + r.U_per_unit, 2) + per +
               " as its bound.\n";
    out += "Worst single reading: " + figures_text(r.worst_percent, 3) + " % of the force\n";
    out += "What a job with " + number_text(r.job_amount) + " " + unit + " has to reckon with: ± " +
           figures_text(r.swing_percent, 3) + " % (U = " + figures_text(r.U_swing_percent, 2) + " %), in all up to " +
           figures_text(r.whole_percent, 3) + " % of the force\n";
    if (r.conformity)
        out += "Against the " + number_text(*test.allowed_percent) +
               " % allowed (ISO 14253-1): " + std::string(conformity_name(*r.conformity)) + "\n";
    return out + "\nBudget of the effect per " + unit + ":\n" + budget_text(r.budget, r.gum, r.monte_carlo);
}

constexpr const char* compared =
    "Both cells are read at rest at about one force: three times or more undisturbed, best before and after.\n"
    "Load slowly, wear eye protection, keep hands clear, stay below the rated load of every part, and below what the\n"
    "cell's maker allows beside its axis; a loaded stack stores energy. Local rules and the part maker's word come first.";

}  // namespace

Report report_stray(calibrate::Stray stray, const CsvReadings& table, std::uint64_t seed) {
    const StrayTest test = read_stray_test(stray, table);
    const StrayResult result = calibrate_stray(test, seed);
    const StrayWords& words = stray_words(stray);
    return {stray_json(words, result), stray_text(words, test, result)};
}

void add_calibrate_stray(CLI::App& calibrate) {
    const auto add = [&](Stray stray, const std::string& help) {
        auto seed = std::make_shared<std::uint64_t>(1);
        add_readings_command(
            calibrate, std::string(stray_words(stray).kind), help + compared,
            [stray, seed](const CsvReadings& table) { return report_stray(stray, table, *seed); },
            [seed](CLI::App& command) { command.add_option("--seed", *seed, "seed of the Monte Carlo trials (default 1)"); });
    };
    add(Stray::eccentric,
        "What the load cell makes of a pull beside its axis, as a drift with reach sweeps it round.\n"
        "FILE is CSV with the columns indicated_N, reference_N, offset_mm (0: on the axis) and angle_deg (as marked on the\n"
        "cell). Notes, all optional: `# resolution_N`, `# half_width` (of the offset, mm), `# reach_mm` (of the drift),\n"
        "`# allowed_percent`. A rig file whose force channel names the certificate (eccentric_calibration = \"eccentric-…\")\n"
        "lets a review tell the cell's own once-per-turn ripple from the seat's.\n");
    add(Stray::side_load,
        "What the load cell makes of a push from the side.\n"
        "FILE is CSV with the columns indicated_N, reference_N, side_N (0: none) and angle_deg. Notes, all optional:\n"
        "`# resolution_N`, `# half_width` (of the side load, N), `# job_side_N` (what a job brings), `# allowed_percent`.\n");
    add(Stray::torsion,
        "What the load cell makes of the screw's torque.\n"
        "FILE is CSV with the columns indicated_N, reference_N and torque_Nm (0: none; both ways, plus and minus). Notes,\n"
        "all optional: `# resolution_N`, `# half_width` (of the torque, Nm), `# job_torque_Nm`, `# allowed_percent`.\n");
}

}  // namespace halfturn::command
