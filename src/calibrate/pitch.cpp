#include "calibrate/pitch.hpp"

#include <algorithm>
#include <cmath>

#include "calibrate/csv_readings.hpp"
#include "calibrate/probability.hpp"
#include "core/failure.hpp"

namespace halfturn::calibrate {
namespace {

// Counts without wraps: a step of more than half the counter's range went over the edge.
std::vector<double> unwrapped(const PitchReadings& readings) {
    std::vector<double> out;
    double offset = 0;
    for (std::size_t i = 0; i < readings.readings.size(); ++i) {
        const double counts = readings.readings[i].counts;
        if (readings.counter_wrap && i > 0) {
            const double step = counts - readings.readings[i - 1].counts;
            if (step > *readings.counter_wrap / 2)
                offset -= *readings.counter_wrap;
            else if (step < -*readings.counter_wrap / 2)
                offset += *readings.counter_wrap;
        }
        out.push_back(counts + offset);
    }
    return out;
}

}  // namespace

PitchResult fit_pitch(const PitchReadings& readings) {
    const std::size_t n = readings.readings.size();
    if (n < 5) throw BadInput("a pitch needs five readings or more, spread over the turns");
    if (!(readings.counts_per_turn > 0)) throw BadInput("counts per turn must be above zero");
    std::vector<double> turns = unwrapped(readings);
    for (double& t : turns) t /= readings.counts_per_turn;
    const auto [least, most] = std::minmax_element(turns.begin(), turns.end());
    PitchResult result;
    result.turns = *most - *least;
    if (result.turns < 2)
        throw BadInput("less than two turns were made; turn further, or the caliper's steps hide the pitch");

    // The pitch from the middle of the steps' slopes stands against a few jumps, where a mean would not.
    std::vector<double> slopes;
    for (std::size_t i = 1; i < n; ++i)
        if (turns[i] != turns[i - 1])
            slopes.push_back((readings.readings[i].travel_mm - readings.readings[i - 1].travel_mm) /
                             (turns[i] - turns[i - 1]));
    if (slopes.empty()) throw BadInput("the counter never moved between readings");
    const double pitch = median(slopes);
    if (pitch == 0)
        throw BadInput("the travel does not follow the counter; check that the caliper follows the screw");
    result.direction = pitch > 0 ? 1 : -1;
    std::vector<double> misses{0};
    for (std::size_t i = 1; i < n; ++i)
        misses.push_back(readings.readings[i].travel_mm - readings.readings[i - 1].travel_mm -
                         pitch * (turns[i] - turns[i - 1]));
    std::vector<double> sizes;
    for (std::size_t i = 1; i < n; ++i) sizes.push_back(std::fabs(misses[i]));
    const double scatter = 1.4826 * median(sizes);  // a normal distribution's sd from its median deviation
    const double count_mm = std::fabs(pitch) / readings.counts_per_turn;
    const double threshold = std::max({6 * scatter, count_mm / 2, 1.5 * readings.travel_resolution_mm});
    std::vector<double> travel;
    double offset = 0;
    for (std::size_t i = 0; i < n; ++i) {
        if (std::fabs(misses[i]) > threshold) {
            const double way = turns[i] >= turns[i - 1] ? 1 : -1;
            result.lost.push_back({i, way * std::round(misses[i] / pitch * readings.counts_per_turn)});
            // Whole counts went missing; the rest of the jump is the caliper's.
            offset += std::round(misses[i] / count_mm) * count_mm;
        }
        travel.push_back(readings.readings[i].travel_mm - offset);
    }
    if (result.lost.size() > n / 4)
        throw BadInput(
            "more than a quarter of the steps jump; the counter or the caliper is not mounted firmly, or "
            "counts_per_turn is wrong");
    const LineFit fit = fit_line({turns, travel, {}, {}}, 1, false);
    result.pitch_mm = std::fabs(fit.coefficients[1]);
    result.residual_sd_mm = *fit.residual_sd;
    const double step = readings.travel_resolution_mm / 2 / std::sqrt(3.0) * std::sqrt(2.0) / result.turns;
    result.u_mm =
        std::hypot(fit.standard_uncertainties[1], step, result.pitch_mm * readings.travel_u_percent / 100);
    if (readings.nominal_pitch_mm && readings.tolerance_mm)
        result.conformity = decide(result.pitch_mm, student_coverage_factor(0.95, fit.dof) * result.u_mm,
                                   *readings.nominal_pitch_mm - *readings.tolerance_mm,
                                   *readings.nominal_pitch_mm + *readings.tolerance_mm);
    return result;
}

PitchReadings read_pitch(const CsvReadings& table) {
    PitchReadings out;
    const bool in_turns = !table.has("counts") && table.has("turns");
    out.counts_per_turn = in_turns ? table.note_if("counts_per_turn", 1e-3, 1e9).value_or(1000)
                                   : table.note("counts_per_turn", 1e-3, 1e9);
    out.travel_resolution_mm = table.note_if("travel_resolution_mm", 0, 1).value_or(out.travel_resolution_mm);
    out.travel_u_percent = table.note_if("travel_u_percent", 0, 100).value_or(0);
    out.counter_wrap = table.note_if("counter_wrap", 1, 1e15);
    out.nominal_pitch_mm = table.note_if("nominal_pitch_mm", 1e-3, 100);
    out.tolerance_mm = table.note_if("tolerance_mm", 0, 10);
    const auto counts = table.numbers(in_turns ? "turns" : "counts"), travel = table.numbers("travel_mm");
    for (std::size_t i = 0; i < table.rows(); ++i)
        out.readings.push_back({in_turns ? counts[i] * out.counts_per_turn : counts[i], travel[i]});
    return out;
}

}  // namespace halfturn::calibrate
