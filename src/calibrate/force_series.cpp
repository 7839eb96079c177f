#include "calibrate/force_series.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>

#include "calibrate/csv_readings.hpp"
#include "calibrate/probability.hpp"
#include "core/failure.hpp"
#include "core/number_text.hpp"

namespace halfturn::calibrate {
namespace {

BudgetInput part(std::string name, double u, Distribution distribution, std::string note,
                 double dof = std::numeric_limits<double>::infinity()) {
    return {std::move(name), 0, u, distribution, dof, std::move(note)};
}

struct Parts {
    double hysteresis_N = 0;  // half-widths
    double zero_N = 0;
    double position_percent = 0;
    double sensitivity = 1;  // N per indicated unit
};

Budget budget_at(const ForceSeries& series, const LineFit& curve, const Parts& parts, double force_N,
                 double indicated, double reference_u_N) {
    const auto half_width = [](double h) { return standard_uncertainty(Distribution::rectangular, h); };
    Budget budget;
    budget.model = number_text(force_N) +
                   " + reference + curve + scatter + step + zero_step + zero_shift + hysteresis + position";
    budget.inputs = {
        part("reference", std::hypot(reference_u_N, force_N * series.reference_u_percent / 100),
             Distribution::normal, "its certificate"),
        part("curve", predict(curve, indicated).u, Distribution::student, "calibration curve", curve.dof),
        part("scatter", *curve.residual_sd, Distribution::student, "one reading about the curve", curve.dof),
        part("step", half_width(series.resolution / 2 * parts.sensitivity), Distribution::rectangular,
             "least count"),
        part("zero_step", half_width(series.resolution / 2 * parts.sensitivity), Distribution::rectangular,
             "least count at the zero"),
        part("zero_shift", half_width(parts.zero_N), Distribution::rectangular, "zero after less before"),
        part("hysteresis", half_width(parts.hysteresis_N), Distribution::rectangular,
             "widest difference on the way down"),
        part("position", half_width(parts.position_percent / 100 * force_N), Distribution::rectangular,
             "load off centre, cell turned"),
    };
    return budget;
}

}  // namespace

ForceSeriesResult calibrate_force(const ForceSeries& series, std::uint64_t seed) {
    LineData data;
    std::vector<double> reference_u;
    const bool some_as_used = std::any_of(series.readings.begin(), series.readings.end(),
                                          [](const auto& r) { return r.up && r.position.empty(); });
    for (const auto& reading : series.readings) {
        if (!(reading.reference_N >= 0))
            throw BadInput(
                "reference forces must be zero or above (give tension and compression both as positive)");
        if (reading.reference_N > 1.1 * series.capacity_N)
            throw BadInput("a reference of " + number_text(reading.reference_N) +
                           " N lies above the capacity of " + number_text(series.capacity_N) + " N");
        if (!reading.up || (some_as_used && !reading.position.empty())) continue;
        data.x.push_back(reading.indicated);
        data.y.push_back(reading.reference_N);
        reference_u.push_back(reading.reference_u_N);
    }
    if (data.x.size() < 5)
        throw BadInput(
            "a force calibration needs five rising readings or more (ten forces in three series are usual)");
    ForceSeriesResult result;
    result.choice = choose_degree(data, 3, false);
    result.curve = fit_line(data, series.degree.value_or(result.choice.degree), false);
    const auto& curve = result.curve;

    Parts parts;
    // The mean sensitivity serves for resolution and zero, where its few percent of bend don't count.
    parts.sensitivity = std::fabs(slope_at(curve, (curve.x_low + curve.x_high) / 2).value);
    result.limit = lower_limit(*curve.residual_sd, series.resolution * parts.sensitivity);
    parts.zero_N = std::fabs(series.zero_after - series.zero_before) * parts.sensitivity;
    result.zero_return_percent =
        (series.zero_after - series.zero_before) * parts.sensitivity / series.capacity_N * 100;
    std::map<std::string, std::vector<double>> by_position;
    for (const auto& reading : series.readings) {
        const double error_N = predict(curve, reading.indicated).y - reading.reference_N;
        if (!reading.up) {
            if (!result.hysteresis_percent ||
                std::fabs(error_N) > std::fabs(*result.hysteresis_percent) * series.capacity_N / 100)
                result.hysteresis_percent = error_N / series.capacity_N * 100;
            parts.hysteresis_N = std::max(parts.hysteresis_N, std::fabs(error_N));
        } else if (!reading.position.empty() && reading.reference_N > 0) {
            by_position[reading.position].push_back(error_N / reading.reference_N * 100);
        }
    }
    for (const auto& [position, errors] : by_position)
        result.positions.push_back({position, mean_and_sd(errors).mean});
    if (!result.positions.empty()) {
        const auto by_error = [](const auto& a, const auto& b) { return a.error_percent < b.error_percent; };
        const auto [low, high] =
            std::minmax_element(result.positions.begin(), result.positions.end(), by_error);
        result.position_spread_percent = high->error_percent - low->error_percent;
        // With a centred series the curve is centred and a whole excursion can occur; without, it is their
        // mean.
        parts.position_percent = some_as_used
                                     ? std::max(std::fabs(low->error_percent), std::fabs(high->error_percent))
                                     : *result.position_spread_percent / 2;
    }

    std::vector<std::size_t> order(data.x.size());
    for (std::size_t i = 0; i < order.size(); ++i) order[i] = i;
    std::sort(order.begin(), order.end(),
              [&](std::size_t a, std::size_t b) { return data.y[a] < data.y[b]; });
    for (const std::size_t i : order) {
        const double force = data.y[i];
        if (!(force > 0) || (!result.uncertainty.empty() && result.uncertainty.back().force_N == force))
            continue;
        const GumResult gum = evaluate_gum(budget_at(series, curve, parts, force, data.x[i], reference_u[i]));
        result.uncertainty.push_back({force, gum.u, gum.k, gum.U});
    }
    if (result.uncertainty.empty()) throw BadInput("every reference force is zero");
    for (auto at = result.uncertainty.rbegin();
         at != result.uncertainty.rend() && at->U_N <= at->force_N * series.allowed_percent / 100; ++at)
        result.lowest_usable_N = at->force_N;
    const std::size_t top = order.back();
    result.budget = budget_at(series, curve, parts, data.y[top], data.x[top], reference_u[top]);
    result.gum = evaluate_gum(result.budget);
    constexpr std::size_t trials = 200000;
    result.monte_carlo = evaluate_monte_carlo(result.budget, trials, seed, CoverageInterval::symmetric);
    return result;
}

ForceSeries read_force_series(const CsvReadings& table) {
    constexpr double any = 1e12;
    ForceSeries out;
    out.capacity_N = table.note("capacity_N", 1e-3, 1e9);
    out.resolution = table.note("resolution", 0, any);
    out.reference_u_percent = table.note_if("reference_u_percent", 0, 100).value_or(0);
    out.zero_before = table.note_if("zero_before", -any, any).value_or(0);
    out.zero_after = table.note_if("zero_after", -any, any).value_or(0);
    out.allowed_percent = table.note_if("allowed_percent", 1e-3, 100).value_or(1);
    if (const auto degree = table.note_if("degree", 1, 3)) {
        if (*degree != std::floor(*degree)) throw table.error("# degree must be 1, 2 or 3");
        out.degree = static_cast<int>(*degree);
    }
    const auto indicated = table.numbers("indicated");
    const bool weights = table.has("mass_kg");
    if (weights && table.has("reference_N")) throw table.error("give reference_N or mass_kg, not both");
    const auto reference = table.numbers(weights ? "mass_kg" : "reference_N");
    auto reference_u = table.numbers_if("reference_u_N");
    reference_u.resize(table.rows());
    const auto direction =
        table.has("direction") ? table.texts("direction") : std::vector<std::string>(table.rows(), "up");
    const auto position =
        table.has("position") ? table.texts("position") : std::vector<std::string>(table.rows());
    const WithU gravity = weights ? WithU{table.note("gravity_m_per_s2", 9.7, 9.9),
                                          table.note_if("gravity_u_m_per_s2", 0, 0.1).value_or(0)}
                                  : WithU{};
    const WithU air{table.note_if("air_density_kg_per_m3", 0, 2).value_or(1.2),
                    0.06};  // ± 10 % of weather and height
    const WithU density{table.note_if("mass_density_kg_per_m3", 500, 25000).value_or(8000), 0};
    const double mass_u_percent = table.note_if("mass_u_percent", 0, 10).value_or(0);
    for (std::size_t i = 0; i < table.rows(); ++i) {
        if (direction[i] != "up" && direction[i] != "down")
            throw table.error_in_row(i, "direction must be up or down, but is \"" + direction[i] + "\"");
        if (!(reference[i] >= 0)) throw table.error_in_row(i, "the reference must be zero or above");
        ForceSeries::Reading reading{indicated[i], reference[i], reference_u[i], direction[i] == "up",
                                     position[i]};
        if (weights && reference[i] > 0) {
            const WithU force = dead_weight_force_N({reference[i], reference[i] * mass_u_percent / 100},
                                                    gravity, air, density);
            reading.reference_N = force.value;
            reading.reference_u_N = std::hypot(force.u, reference_u[i]);
        }
        out.readings.push_back(std::move(reading));
    }
    return out;
}

}  // namespace halfturn::calibrate
