#include "calibrate/stray_load.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "calibrate/csv_readings.hpp"
#include "calibrate/least_squares.hpp"
#include "calibrate/probability.hpp"
#include "core/failure.hpp"
#include "core/number_text.hpp"

namespace halfturn::calibrate {
namespace {

constexpr std::array<StrayWords, 3> all_words = {
    StrayWords{Stray::eccentric, "eccentric", "offset_mm", "mm", "reach_mm", "percent_per_mm", true, true},
    StrayWords{Stray::side_load, "side-load", "side_N", "N", "job_side_N", "N_per_N", true, false},
    StrayWords{Stray::torsion, "torsion", "torque_Nm", "Nm", "job_torque_Nm", "N_per_Nm", false, false},
};
constexpr double widest_gap_deg = 150;
constexpr std::size_t fewest_undisturbed = 3;
constexpr int fewest_dof = 3;

double turned(double deg) {
    const double within = std::fmod(deg, 360);
    return within < 0 ? within + 360 : within;
}

double radians(double deg) { return deg * std::numbers::pi / 180; }

void check_angles(const StrayTest& test) {
    std::vector<double> angles;
    for (const auto& r : test.readings)
        if (r.amount > 0) angles.push_back(turned(r.angle_deg));
    std::sort(angles.begin(), angles.end());
    double gap = angles.front() + 360 - angles.back();
    for (std::size_t i = 1; i < angles.size(); ++i) gap = std::max(gap, angles[i] - angles[i - 1]);
    if (gap > widest_gap_deg)
        throw BadInput("the angles leave a gap of " + figures_text(gap, 3) + " degrees; go all round, such as 0, 90, 180 and 270");
}

void check_ways(const StrayTest& test) {
    const auto one_way = [&](double way) {
        return std::any_of(test.readings.begin(), test.readings.end(), [&](const auto& r) { return r.amount * way > 0; });
    };
    if (!one_way(1) || !one_way(-1)) throw BadInput("torque is needed both ways: torque_Nm above and below zero");
}

// Mean force and largest amount, after what the readings must fulfil.
void check(const StrayTest& test, StrayResult& result) {
    const auto& words = stray_words(test.stray);
    const std::string column(words.amount);
    std::vector<double> forces;
    std::size_t undisturbed = 0;
    for (const auto& r : test.readings) {
        if (!(r.reference_N > 0)) throw BadInput("every reference_N must be above zero; give tension and compression both as positive");
        if (words.angle && r.amount < 0) throw BadInput(column + " must be zero or above; where it acts is said by angle_deg");
        forces.push_back(r.reference_N);
        undisturbed += r.amount == 0;
        result.largest_amount = std::max(result.largest_amount, std::fabs(r.amount));
    }
    if (undisturbed < fewest_undisturbed)
        throw BadInput(std::to_string(fewest_undisturbed) + " undisturbed readings or more are needed (" + column +
                       " = 0), best before and after, but there are " + std::to_string(undisturbed));
    if (!(result.largest_amount > 0)) throw BadInput("every " + column + " is zero, so nothing disturbed the cell");
    result.force_N = mean_and_sd(forces).mean;
    const auto [low, high] = std::minmax_element(forces.begin(), forces.end());
    if (*high > 1.1 * *low)
        throw BadInput("the reference goes from " + figures_text(*low, 4) + " to " + figures_text(*high, 4) +
                       " N; take one test at about one force (within 10 %), and another at another");
    if (words.angle) check_angles(test);
    else check_ways(test);
    result.job_amount = test.job_amount.value_or(result.largest_amount);
    if (result.job_amount > result.largest_amount * (1 + 1e-9))
        throw BadInput(std::string(words.of_job) + " is " + number_text(result.job_amount) + ", but the test went only to " +
                       number_text(result.largest_amount) + " " + std::string(words.unit) + "; test as far as jobs go");
}

// Indication less reference.
double deviation_of(const StrayTest& test, const StrayReading& r) {
    const double error_N = r.indicated_N - r.reference_N;
    return stray_words(test.stray).percent ? error_N / r.reference_N * 100 : error_N;
}

// b, s, and one or two that go once round, per unit.
void fit(const StrayTest& test, StrayResult& result) {
    const bool angle = stray_words(test.stray).angle;
    const auto n = static_cast<Eigen::Index>(test.readings.size());
    const Eigen::Index p = angle ? 4 : 3;
    result.dof = static_cast<int>(n - p);
    if (result.dof < fewest_dof)
        throw BadInput("at least " + std::to_string(p + fewest_dof) +
                       " readings are needed to tell the effect from the scatter, but there are " + std::to_string(n));
    Matrix rows(n, p);
    Vector right(n);
    for (Eigen::Index i = 0; i < n; ++i) {
        const auto& r = test.readings[static_cast<std::size_t>(i)];
        const Real q = r.amount / result.largest_amount, at = radians(r.angle_deg);
        right(i) = deviation_of(test, r);
        rows(i, 0) = 1;
        rows(i, 1) = q * q;
        rows(i, 2) = angle ? q * std::cos(at) : q;
        if (angle) rows(i, 3) = q * std::sin(at);
    }
    const auto solved = solve_rows(rows, right);
    if (!solved) throw BadInput("these readings can't tell the parts of the effect apart; go all round and read undisturbed between");
    const Vector& c = solved->coefficients;
    const Vector left = right - rows * c;
    const Real variance = left.squaredNorm() / result.dof;
    const auto covariance = [&](Eigen::Index i, Eigen::Index j) { return static_cast<double>(variance * solved->inverse_gram(i, j)); };
    const double q = result.largest_amount;
    result.scatter = static_cast<double>(std::sqrt(variance));
    result.shift = static_cast<double>(c(1));
    result.u_shift = std::sqrt(covariance(1, 1));
    const double a = static_cast<double>(c(2)) / q;
    if (!angle) {
        result.per_unit = a;
        result.u_per_unit = std::sqrt(covariance(2, 2)) / q;
        return;
    }
    const double b = static_cast<double>(c(3)) / q, length = std::hypot(a, b);
    const double in_middle = (covariance(2, 2) + covariance(3, 3)) / 2 / (q * q);
    result.per_unit = length;
    result.direction_deg = turned(std::atan2(b, a) * 180 / std::numbers::pi);
    // A vector shorter than its own doubt has no direction along which that doubt could be taken.
    result.u_per_unit = length * length > in_middle
                            ? std::sqrt(a * a * covariance(2, 2) + 2 * a * b * covariance(2, 3) + b * b * covariance(3, 3)) / (q * length)
                            : std::sqrt(in_middle);
}

struct Undisturbed {
    double mean = 0, drift = 0;
};

Undisturbed undisturbed(const StrayTest& test) {
    std::vector<double> all, before, after;
    bool disturbed = false;
    for (const auto& r : test.readings) {
        if (r.amount != 0) {
            disturbed = true;
            after.clear();
            continue;
        }
        all.push_back(deviation_of(test, r));
        (disturbed ? after : before).push_back(all.back());
    }
    Undisturbed out{mean_and_sd(all).mean, 0};
    if (!before.empty() && !after.empty()) out.drift = mean_and_sd(after).mean - mean_and_sd(before).mean;
    return out;
}

void list_places(const StrayTest& test, double undisturbed_mean, StrayResult& result) {
    double worst = 0;
    for (const auto& r : test.readings) {
        if (r.amount == 0) continue;
        const double deviation = deviation_of(test, r) - undisturbed_mean;
        if (std::fabs(deviation) > std::fabs(worst)) worst = deviation;
        auto found = std::find_if(result.places.begin(), result.places.end(),
                                  [&](const StrayPlace& p) { return p.amount == r.amount && turned(p.angle_deg) == turned(r.angle_deg); });
        if (found == result.places.end()) found = result.places.insert(found, {r.amount, r.angle_deg, 0, 0});
        found->deviation += (deviation - found->deviation) / ++found->count;
    }
    result.worst_percent = stray_words(test.stray).percent ? worst : worst / result.force_N * 100;
}

Budget budget_of(const StrayTest& test, const StrayResult& r) {
    const auto half_width = [](double h) { return standard_uncertainty(Distribution::rectangular, h); };
    // One step of the display, as it shows in the effect per unit.
    const double step = test.resolution_N * (stray_words(test.stray).percent ? 100 / r.force_N : 1) / r.largest_amount;
    const auto part = [&](const char* name, double half, const char* note) {
        return BudgetInput{name, 0, half_width(half), Distribution::rectangular, std::numeric_limits<double>::infinity(), note};
    };
    Budget budget;
    budget.model = "(effect + step + step_undisturbed + drift) * (1 + amount)";
    budget.inputs = {
        {"effect", r.per_unit, r.u_per_unit, Distribution::student, static_cast<double>(r.dof), "scatter about the model"},
        part("step", step / 2, "least count, disturbed"),
        part("step_undisturbed", step / 2, "least count, undisturbed"),
        part("drift", std::fabs(r.drift) / r.largest_amount, "undisturbed, last less first"),
        part("amount", test.amount_half_width / r.largest_amount, "how well the stray load is known"),
    };
    return budget;
}

void judge(const StrayTest& test, StrayResult& r) {
    const double to_percent = stray_words(test.stray).percent ? 1 : 100 / r.force_N, share = r.job_amount / r.largest_amount;
    r.swing_percent = std::fabs(r.per_unit) * r.job_amount * to_percent;
    r.U_swing_percent = r.U_per_unit * r.job_amount * to_percent;
    r.whole_percent = std::max(std::fabs(r.shift) * to_percent * share * share + r.swing_percent, std::fabs(r.worst_percent) * share);
    if (test.allowed_percent) r.conformity = decide(r.whole_percent, r.U_swing_percent, {}, test.allowed_percent);
}

}  // namespace

const StrayWords& stray_words(Stray stray) { return all_words[static_cast<std::size_t>(stray)]; }

std::optional<Stray> stray_of(std::string_view kind) {
    for (const StrayWords& words : all_words)
        if (words.kind == kind) return words.stray;
    return {};
}

StrayResult calibrate_stray(const StrayTest& test, std::uint64_t seed) {
    StrayResult result;
    if (test.readings.empty()) throw BadInput("there are no readings");
    check(test, result);
    fit(test, result);
    const Undisturbed base = undisturbed(test);
    result.drift = base.drift;
    list_places(test, base.mean, result);
    result.budget = budget_of(test, result);
    result.gum = evaluate_gum(result.budget);
    constexpr std::size_t trials = 200000;
    result.monte_carlo = evaluate_monte_carlo(result.budget, trials, seed, CoverageInterval::symmetric);
    result.U_per_unit = result.gum.U;
    result.k = result.gum.k;
    judge(test, result);
    return result;
}

StrayTest read_stray_test(Stray stray, const CsvReadings& table) {
    const StrayWords& words = stray_words(stray);
    constexpr double any = 1e9;
    StrayTest test;
    test.stray = stray;
    test.resolution_N = table.note_if("resolution_N", 0, any).value_or(0);
    test.amount_half_width = table.note_if("half_width", 0, any).value_or(0);
    test.job_amount = table.note_if(words.of_job, 0, any);
    test.allowed_percent = table.note_if("allowed_percent", 1e-3, 100);
    const auto indicated = table.numbers("indicated_N"), reference = table.numbers("reference_N"), amount = table.numbers(words.amount);
    const auto angle = words.angle ? table.numbers("angle_deg") : std::vector<double>(table.rows());
    for (std::size_t i = 0; i < table.rows(); ++i) {
        if (!(reference[i] > 0)) throw table.error_in_row(i, "reference_N must be above zero");
        if (std::fabs(angle[i]) > 360) throw table.error_in_row(i, "angle_deg must be from -360 to 360");
        test.readings.push_back({indicated[i], reference[i], amount[i], angle[i]});
    }
    return test;
}

}  // namespace halfturn::calibrate
