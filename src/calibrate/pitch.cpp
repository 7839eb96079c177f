#include "calibrate/pitch.hpp"

#include <algorithm>
#include <cmath>

#include "calibrate/csv_readings.hpp"
#include "calibrate/least_squares.hpp"
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

constexpr double by_chance = 0.001;  // of a clean run, that a step is seen in it

struct SteppedLine {
    double slope = 0, slope_u = 0, residual_sd = 0, dof = 0;
    std::vector<double> sizes, sizes_u;  // of the steps
};

// Travel over turns as a line (bowed: a parabola) that steps before each of the readings named. least_sd: what readings scatter
// by at least. Nothing when these can't be told apart.
std::optional<SteppedLine> fit_stepped(const std::vector<double>& turns, const std::vector<double>& travel_mm,
                                       const std::vector<std::size_t>& steps, bool bowed, double least_sd) {
    const auto n = static_cast<Eigen::Index>(turns.size()), first_step = Eigen::Index{bowed ? 3 : 2},
               count = first_step + static_cast<Eigen::Index>(steps.size());
    if (n <= count) return {};
    Matrix rows(n, count);
    Vector right(n);
    const double middle = (turns.front() + turns.back()) / 2;
    for (Eigen::Index i = 0; i < n; ++i) {
        const auto at = static_cast<std::size_t>(i);
        const Real x = turns[at] - middle;
        rows(i, 0) = 1, rows(i, 1) = x;
        if (bowed) rows(i, 2) = x * x;
        for (std::size_t k = 0; k < steps.size(); ++k) rows(i, first_step + static_cast<Eigen::Index>(k)) = at >= steps[k];
        right(i) = travel_mm[at];
    }
    const auto solved = solve_rows(rows, right);
    if (!solved) return {};
    SteppedLine line;
    line.dof = static_cast<double>(n - count);
    line.residual_sd = std::sqrt(static_cast<double>((right - rows * solved->coefficients).squaredNorm()) / line.dof);
    const double sd = std::max(least_sd, line.residual_sd);
    const auto u_of = [&](Eigen::Index i) { return sd * std::sqrt(static_cast<double>(solved->inverse_gram(i, i))); };
    line.slope = static_cast<double>(solved->coefficients(1));
    line.slope_u = u_of(1);
    for (Eigen::Index i = first_step; i < count; ++i) {
        line.sizes.push_back(static_cast<double>(solved->coefficients(i)));
        line.sizes_u.push_back(u_of(i));
    }
    return line;
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
    std::vector<double> travel;
    for (const auto& reading : readings.readings) travel.push_back(reading.travel_mm);
    std::vector<double> slopes;
    for (std::size_t i = 1; i < n; ++i)
        if (turns[i] != turns[i - 1])
            slopes.push_back((travel[i] - travel[i - 1]) / (turns[i] - turns[i - 1]));
    if (slopes.empty()) throw BadInput("the counter never moved between readings");
    const double pitch = median(slopes);
    if (pitch == 0)
        throw BadInput("the travel does not follow the counter; check that the caliper follows the screw");
    result.direction = pitch > 0 ? 1 : -1;
    std::vector<double> misses{0};
    for (std::size_t i = 1; i < n; ++i) misses.push_back(travel[i] - travel[i - 1] - pitch * (turns[i] - turns[i - 1]));
    std::vector<double> sizes;
    for (std::size_t i = 1; i < n; ++i) sizes.push_back(std::fabs(misses[i]));
    // A normal distribution's sd from its median deviation; where the caliper's steps are coarse that can be nothing by chance.
    const double scatter = std::max(1.4826 * median(sizes), readings.travel_resolution_mm);
    const double count_mm = std::fabs(pitch) / readings.counts_per_turn;
    const double threshold = std::max(6 * scatter, count_mm / 2);
    std::vector<std::size_t> steps;
    for (std::size_t i = 0; i < n; ++i)
        if (std::fabs(misses[i]) > threshold) steps.push_back(i);

    // Then one after the other those that show in all readings together, the clearest first.
    const double least_mm = std::max(count_mm / 2, 1.5 * readings.travel_resolution_mm);
    const double least_sd = readings.travel_resolution_mm / std::sqrt(12.0);
    result.least_counts_seen = std::ceil(threshold / count_mm);
    bool more = true;
    while (more && steps.size() <= n / 4) {
        std::size_t clearest = 0;
        double clearest_by = 0;
        more = false;
        for (std::size_t k = 2; k + 2 <= n; ++k) {  // a single reading at an end may be an outlier
            if (std::find(steps.begin(), steps.end(), k) != steps.end()) continue;
            std::vector<std::size_t> tried = steps;
            tried.push_back(k);
            const auto line = fit_stepped(turns, travel, tried, true, least_sd);
            if (!line) continue;
            const double size = line->sizes.back(), u = line->sizes_u.back();
            const double sure = student_coverage_factor(1 - by_chance / static_cast<double>(n), line->dof);
            const double least_seen_mm = std::max(least_mm, sure * u);
            if (k == n / 2) result.least_counts_seen = std::ceil(std::min(threshold, least_seen_mm) / count_mm);
            const bool jumps = misses[k] * size >= size * size / 2;
            if (!jumps || std::fabs(size) <= least_seen_mm || std::fabs(size) / u <= clearest_by) continue;
            clearest = k;
            clearest_by = std::fabs(size) / u;
            more = true;
        }
        if (more) steps.push_back(clearest);
    }
    std::sort(steps.begin(), steps.end());
    const auto fit = fit_stepped(turns, travel, steps, false, 0);
    if (steps.size() > n / 4 || !fit)
        throw BadInput(
            "more than a quarter of the steps jump; the counter or the caliper is not mounted firmly, or "
            "counts_per_turn is wrong");
    for (std::size_t k = 0; k < steps.size(); ++k) {
        const double way = turns[steps[k]] >= turns[steps[k] - 1] ? 1 : -1;
        result.lost.push_back({steps[k], way * std::round(fit->sizes[k] / pitch * readings.counts_per_turn)});
    }
    result.pitch_mm = std::fabs(fit->slope);
    result.residual_sd_mm = fit->residual_sd;
    const double step = readings.travel_resolution_mm / 2 / std::sqrt(3.0) * std::sqrt(2.0) / result.turns;
    result.u_mm = std::hypot(fit->slope_u, step, result.pitch_mm * readings.travel_u_percent / 100);
    if (readings.nominal_pitch_mm && readings.tolerance_mm)
        result.conformity = decide(result.pitch_mm, student_coverage_factor(0.95, fit->dof) * result.u_mm,
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
