#include "calibrate/travel.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include "calibrate/csv_readings.hpp"
#include "calibrate/gauge_blocks.hpp"
#include "calibrate/probability.hpp"
#include "core/number_text.hpp"

namespace halfturn::calibrate {
namespace {

BudgetInput rectangular(std::string name, double half_width, std::string note) {
    return {std::move(name),
            0,
            standard_uncertainty(Distribution::rectangular, half_width),
            Distribution::rectangular,
            std::numeric_limits<double>::infinity(),
            std::move(note)};
}

Budget budget_at(const TravelReadings& readings, double block_mm, const std::vector<double>& errors_mm) {
    const MeanAndSd spread = mean_and_sd(errors_mm);
    const auto n = static_cast<double>(errors_mm.size());
    Budget budget;
    budget.model = "error + block + " + number_text(block_mm * readings.expansion_per_K) +
                   "*temperature + reading_step + zero_step + tipping";
    BudgetInput error{"error",
                      spread.mean,
                      0,
                      Distribution::normal,
                      std::numeric_limits<double>::infinity(),
                      "mean of the readings"};
    // The display can't show a scatter smaller than its own step, which stands in the budget already.
    if (errors_mm.size() > 1)
        error = {"error", spread.mean,           spread.sd / std::sqrt(n), Distribution::student,
                 n - 1,   "mean of the readings"};
    budget.inputs.push_back(error);
    if (readings.block_u_mm) {
        budget.inputs.push_back({"block", 0, *readings.block_u_mm, Distribution::normal,
                                 std::numeric_limits<double>::infinity(), "certificate"});
    } else {
        const double half =
            block_mm > 0 ? gauge_block_limits(readings.block_grade, block_mm).deviation_um * 1e-3 : 0;
        budget.inputs.push_back(rectangular("block", half, "ISO 3650 grade " + readings.block_grade));
    }
    budget.inputs.push_back(
        rectangular("temperature", readings.temperature_half_width_K, "difference of caliper and block, K"));
    budget.inputs.push_back(rectangular("reading_step", readings.resolution_mm / 2, "least count"));
    budget.inputs.push_back(rectangular("zero_step", readings.resolution_mm / 2, "least count at the zero"));
    budget.inputs.push_back(rectangular("tipping", readings.abbe_mm * readings.jaw_angle_mrad * 1e-3,
                                        "Abbe: offset times angle"));
    return budget;
}

}  // namespace

TravelResult calibrate_travel(const TravelReadings& readings, std::uint64_t seed) {
    if (!(readings.resolution_mm >= 0)) throw BadInput("the resolution must be zero or more");
    std::map<std::pair<std::string, double>, std::vector<double>> groups;
    for (const auto& reading : readings.readings) {
        if (!(reading.block_mm >= 0)) throw BadInput("a block's length must be zero (jaws closed) or more");
        groups[{reading.face, reading.block_mm}].push_back(reading.indicated_mm - reading.block_mm);
    }
    TravelResult result;
    std::map<std::string, double> shift;
    LineData scale;
    const std::vector<double>* longest = nullptr;
    double longest_mm = 0;
    for (const auto& [key, errors] : groups) {
        const auto& [face, block_mm] = key;
        const auto [low, high] = std::minmax_element(errors.begin(), errors.end());
        TravelPoint point;
        point.face = face;
        point.block_mm = block_mm;
        point.count = static_cast<int>(errors.size());
        point.mean_error_mm = mean_and_sd(errors).mean;
        point.worst_error_mm = std::fabs(*low) > std::fabs(*high) ? *low : *high;
        point.spread_mm = *high - *low;
        result.points.push_back(point);
        if (face != "outside") {
            double& worst = shift.emplace(face, point.mean_error_mm).first->second;
            if (std::fabs(point.mean_error_mm) > std::fabs(worst)) worst = point.mean_error_mm;
            continue;
        }
        if (std::fabs(point.worst_error_mm) > std::fabs(result.partial_surface_contact_error_mm))
            result.partial_surface_contact_error_mm = point.worst_error_mm;
        result.repeatability_mm = std::max(result.repeatability_mm, point.spread_mm);
        for (const double error : errors) {
            scale.x.push_back(block_mm);
            scale.y.push_back(error);
        }
        longest = &errors;  // the map rises in length
        longest_mm = block_mm;
    }
    if (!longest)
        throw BadInput(
            "there is no reading with the outside jaws (face outside); the zero and the scale rest on them");
    for (const auto& [face, error] : shift) result.scale_shift.push_back({face, error});
    const auto outside = std::count_if(result.points.begin(), result.points.end(),
                                       [](const auto& p) { return p.face == "outside"; });
    if (outside >= 3) result.scale = fit_line(scale, 1, false);
    result.budget = budget_at(readings, longest_mm, *longest);
    result.gum = evaluate_gum(result.budget);
    constexpr std::size_t trials = 200000;
    result.monte_carlo = evaluate_monte_carlo(result.budget, trials, seed, CoverageInterval::symmetric);
    result.U_mm = (result.monte_carlo.high - result.monte_carlo.low) / 2;
    if (result.gum.u > 0) result.k = result.U_mm / result.gum.u;
    if (readings.limit_mm)
        result.conformity = decide(result.partial_surface_contact_error_mm, result.U_mm, -*readings.limit_mm,
                                   *readings.limit_mm);
    return result;
}

TravelReadings read_travel(const CsvReadings& table) {
    TravelReadings out;
    out.resolution_mm = table.note("resolution_mm", 0, 10);
    out.block_u_mm = table.note_if("block_u_mm", 0, 1);
    if (const auto grade = table.text_note_if("block_grade")) out.block_grade = *grade;
    out.temperature_half_width_K =
        table.note_if("temperature_half_width_K", 0, 50).value_or(out.temperature_half_width_K);
    out.abbe_mm = table.note_if("abbe_mm", 0, 1000).value_or(0);
    out.jaw_angle_mrad = table.note_if("jaw_angle_mrad", 0, 100).value_or(0);
    out.limit_mm = table.note_if("limit_mm", 0, 10);
    const auto block = table.numbers("block_mm"), indicated = table.numbers("indicated_mm");
    const auto face =
        table.has("face") ? table.texts("face") : std::vector<std::string>(table.rows(), "outside");
    for (std::size_t i = 0; i < table.rows(); ++i) {
        if (face[i] != "outside" && face[i] != "inside" && face[i] != "depth" && face[i] != "step")
            throw table.error_in_row(
                i, "face must be outside, inside, depth or step, but is \"" + face[i] + "\"");
        if (!(block[i] >= 0 && block[i] <= 1000))
            throw table.error_in_row(i, "block_mm must be from 0 (jaws closed) to 1000");
        // A caliper that is wrong by a tenth reads something else: inches, or another block.
        if (std::fabs(indicated[i] - block[i]) > 1 + 0.1 * block[i])
            throw table.error_in_row(i, "indicated_mm is " + number_text(indicated[i]) + " at a block of " + number_text(block[i]) +
                                            " mm; is the caliper in inches, or was it another block? Take that reading again in mm");
        out.readings.push_back({block[i], indicated[i], face[i]});
    }
    return out;
}

}  // namespace halfturn::calibrate
