#include "calibrate/stiffness.hpp"

#include <algorithm>
#include <cmath>

#include "calibrate/csv_readings.hpp"
#include "core/failure.hpp"
#include "core/number_text.hpp"

namespace halfturn::calibrate {
namespace {

constexpr int highest_degree = 3;

// The force where the tangents are asked for: from the window's foot to its top in quarters.
std::vector<double> quarters(double from, double to) {
    std::vector<double> out;
    for (int i = 0; i <= 4; ++i) out.push_back(from + (to - from) * i / 4);
    return out;
}

}  // namespace

StiffnessResult fit_stiffness(const BlockedPull& pull) {
    const auto& readings = pull.readings;
    const auto by_force = [](const auto& a, const auto& b) { return a.force_N < b.force_N; };
    if (readings.empty()) throw BadInput("there are no readings");
    const auto top = std::max_element(readings.begin(), readings.end(), by_force);
    StiffnessResult result;
    result.highest_N = top->force_N;
    if (!(result.highest_N > 0))
        throw BadInput("the force never rises above zero; check the sign of force_N");
    result.from_N = pull.from_N.value_or(0.2 * result.highest_N);
    if (!(result.from_N < result.highest_N))
        throw BadInput("# from_N lies at or above the highest force of " + number_text(result.highest_N) +
                       " N");
    LineData up, down;
    for (auto reading = readings.begin(); reading != readings.end(); ++reading) {
        if (reading->force_N < result.from_N) continue;
        LineData& branch = reading <= top ? up : down;
        branch.x.push_back(reading->force_N);
        branch.y.push_back(reading->travel_mm);
    }
    if (up.x.size() < 4)
        throw BadInput("only " + std::to_string(up.x.size()) + " readings lie on the way up between " +
                       number_text(result.from_N) + " and " + number_text(result.highest_N) +
                       " N; take four or more");
    const LineFit straight = fit_line(up, 1, false);
    result.choice = choose_degree(up, highest_degree, false);
    result.curve = fit_line(up, result.choice.degree, false);
    const double scales = std::hypot(pull.travel_u_percent, pull.force_u_percent) / 100;
    double softest = std::numeric_limits<double>::infinity(), stiffest = 0;
    for (const double force : quarters(result.from_N, result.highest_N)) {
        const Slope slope = slope_at(result.curve, force);
        if (!(slope.value > 0))
            throw BadInput(
                "at " + number_text(force) +
                " N the travel does not grow with the force; check the order and sign of the readings");
        const double k = 1 / slope.value;
        result.k_of_F.push_back({force, k, k * std::hypot(slope.u * k, scales)});
        softest = std::min(softest, k);
        stiffest = std::max(stiffest, k);
    }
    const Slope slope = slope_at(straight, result.highest_N);
    result.N_per_mm = 1 / slope.value;
    const double from_bend =
        result.choice.degree > 1 ? (stiffest - softest) / 2 / std::sqrt(3.0) / result.N_per_mm : 0;
    result.u_N_per_mm = result.N_per_mm * std::hypot(slope.u * result.N_per_mm, scales, from_bend);
    // The toe: how much later the straight part would have begun than the pull did.
    const auto first = std::find_if(readings.begin(), top,
                                    [&](const auto& r) { return r.force_N > 0.005 * result.highest_N; });
    if (first != top && first->force_N < result.from_N)
        result.toe_mm = predict(straight, first->force_N).y - first->travel_mm;
    if (down.x.size() >= 3) {
        const LineFit back = fit_line(down, choose_degree(down, highest_degree, false).degree, false);
        const auto gap = [&](double force) {
            return predict(back, force).y - predict(result.curve, force).y;
        };
        const double at_top = gap(result.highest_N);
        result.backlash_mm = std::max(0.0, -at_top);
        double widest = 0;
        for (const double force : quarters(std::max(result.from_N, back.x_low), result.highest_N))
            widest = std::max(widest, std::fabs(gap(force) - at_top));
        result.hysteresis_mm = widest;
    }
    return result;
}

BlockedPull read_blocked_pull(const CsvReadings& table) {
    BlockedPull out;
    out.from_N = table.note_if("from_N", 0, 1e9);
    out.travel_u_percent = table.note_if("travel_u_percent", 0, 100).value_or(0);
    out.force_u_percent = table.note_if("force_u_percent", 0, 100).value_or(0);
    const auto travel = table.numbers("travel_mm"), force = table.numbers("force_N");
    for (std::size_t i = 0; i < table.rows(); ++i) out.readings.push_back({travel[i], force[i]});
    return out;
}

}  // namespace halfturn::calibrate
