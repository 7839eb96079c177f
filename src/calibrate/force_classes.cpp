#include "calibrate/force_classes.hpp"

#include <algorithm>
#include <cmath>

#include "calibrate/line_fit.hpp"
#include "core/failure.hpp"
#include "core/number_text.hpp"

namespace halfturn::calibrate {
namespace {

constexpr int classes = 4;  // the index 4 means no class

// The best class whose limit the value keeps.
int class_of(double value, const std::array<double, classes>& limits) {
    const double rounding = 1 + 1e-9;
    for (int i = 0; i < classes; ++i)
        if (std::fabs(value) <= limits[static_cast<std::size_t>(i)] * rounding) return i;
    return classes;
}

// ISO 7500-1:2018 table 2: accuracy q, repeatability b, reversibility v, zero f0, resolution a, all in
// percent.
constexpr std::array<const char*, classes + 1> names_7500{"0.5", "1", "2", "3", "none"};
constexpr std::array<double, classes> limits_q{0.5, 1, 2, 3};
constexpr std::array<double, classes> limits_b{0.5, 1, 2, 3};
constexpr std::array<double, classes> limits_v{0.75, 1.5, 3, 4.5};
constexpr std::array<double, classes> limits_f0{0.05, 0.1, 0.2, 0.3};
constexpr std::array<double, classes> limits_a{0.25, 0.5, 1, 1.5};

// The range that must be calibrated begins here, as a share of capacity (6.4.5); points below it are additional.
constexpr double range_share_7500 = 0.2;

// ISO 376:2011 table 2, in percent.
constexpr std::array<const char*, classes + 1> names_376{"00", "0.5", "1", "2", "none"};
constexpr std::array<double, classes> limits_376_b{0.05, 0.1, 0.2, 0.4};
constexpr std::array<double, classes> limits_376_b_repeat{0.025, 0.05, 0.1, 0.2};
constexpr std::array<double, classes> limits_376_fc{0.025, 0.05, 0.1, 0.2};
constexpr std::array<double, classes> limits_376_f0{0.012, 0.025, 0.05, 0.1};
constexpr std::array<double, classes> limits_376_v{0.07, 0.15, 0.3, 0.5};
// Resolution over reading, in percent: 1/4000, 1/2000, 1/1000, 1/500.
constexpr std::array<double, classes> limits_376_resolution{0.025, 0.05, 0.1, 0.2};

// The lowest force from which upward every point has class `needed` or better.
std::optional<double> lowest_from(const std::vector<double>& forces, const std::vector<int>& ranks,
                                  int needed) {
    std::optional<double> lowest;
    for (std::size_t i = forces.size(); i-- > 0;) {
        if (ranks[i] > needed) break;
        lowest = forces[i];
    }
    return lowest;
}

std::vector<ClassReach> reaches(const std::vector<double>& forces, const std::vector<int>& ranks,
                                int zero_rank, const std::array<const char*, classes + 1>& names) {
    std::vector<ClassReach> out;
    for (int c = zero_rank; c < classes; ++c) {
        const auto from = lowest_from(forces, ranks, c);
        // A worse class is worth saying only where it reaches further down.
        if (from && (out.empty() || *from < out.back().from_N))
            out.push_back({names[static_cast<std::size_t>(c)], *from});
    }
    return out;
}

std::string name(const std::array<const char*, classes + 1>& names, int rank) {
    return names[static_cast<std::size_t>(rank)];
}

}  // namespace

Class7500Result class_7500(const Class7500Readings& readings) {
    if (readings.points.empty()) throw BadInput("there are no points to classify");
    auto points = readings.points;
    std::sort(points.begin(), points.end(),
              [](const auto& a, const auto& b) { return a.indicated_N < b.indicated_N; });
    Class7500Result result;
    std::vector<double> forces;
    std::vector<int> ranks;
    for (const auto& point : points) {
        const std::string where = "at " + number_text(point.indicated_N) + " N: ";
        const bool all_positive =
            std::all_of(point.up_N.begin(), point.up_N.end(), [](double f) { return f > 0; });
        if (!(point.indicated_N > 0) || !all_positive || (point.down_N && !(*point.down_N > 0)))
            throw BadInput(
                where +
                "forces must be above zero (give tension and compression both as positive numbers; "
                "the zero belongs into # zero_N)");
        if (point.indicated_N > 1.1 * readings.capacity_N)
            throw BadInput(where + "lies above the capacity of " + number_text(readings.capacity_N) +
                           " N; check # capacity_N");
        if (!forces.empty() && forces.back() == point.indicated_N)
            throw BadInput(where + "the point is given twice");
        Class7500Point out;
        out.indicated_N = point.indicated_N;
        int rank = 0;
        for (std::size_t i = 0; i < point.up_N.size(); ++i) {
            out.q_percent[i] = (point.indicated_N - point.up_N[i]) / point.up_N[i] * 100;
            rank = std::max(rank, class_of(out.q_percent[i], limits_q));
        }
        const auto [least, most] = std::minmax_element(out.q_percent.begin(), out.q_percent.end());
        out.b_percent = *most - *least;
        out.a_percent = readings.resolution_N / point.indicated_N * 100;
        rank = std::max({rank, class_of(out.b_percent, limits_b), class_of(out.a_percent, limits_a)});
        if (point.down_N) {
            out.v_percent = (point.up_N.back() - *point.down_N) / point.up_N.back() * 100;
            rank = std::max(rank, class_of(*out.v_percent, limits_v));
        }
        out.class_name = name(names_7500, rank);
        result.points.push_back(out);
        forces.push_back(point.indicated_N);
        ranks.push_back(rank);
    }
    result.f0_percent = readings.zero_N / readings.capacity_N * 100;
    const int zero_rank = class_of(result.f0_percent, limits_f0);
    result.f0_class = name(names_7500, zero_rank);
    int worst = zero_rank;
    const double range_from_N = range_share_7500 * readings.capacity_N * (1 - 1e-9);
    // With no point in the range that must be calibrated, what there is has to do.
    const bool any_in_range = forces.back() >= range_from_N;
    for (std::size_t i = 0; i < ranks.size(); ++i)
        if (!any_in_range || forces[i] >= range_from_N) worst = std::max(worst, ranks[i]);
    result.class_name = name(names_7500, worst);
    result.lowest_N = lowest_from(forces, ranks, std::min(worst, classes - 1));
    result.range_reached = any_in_range;
    result.reach = reaches(forces, ranks, zero_rank, names_7500);
    return result;
}

Class376Result class_376(const Class376Readings& readings) {
    if (readings.points.empty()) throw BadInput("there are no points to classify");
    if (!(readings.capacity_reading != 0)) throw BadInput("the reading at capacity must not be zero");
    auto points = readings.points;
    std::sort(points.begin(), points.end(),
              [](const auto& a, const auto& b) { return a.force_N < b.force_N; });
    LineData means;
    for (const auto& point : points) {
        const std::string where = "at " + number_text(point.force_N) + " N: ";
        if (!(point.force_N > 0))
            throw BadInput(where + "force_N must be above zero; the zero belongs into # zero_before");
        if (!means.x.empty() && means.x.back() == point.force_N)
            throw BadInput(where + "the force is given twice");
        if (point.X3 == 0 || point.X5 == 0 || point.X1 + point.X3 + point.X5 == 0 || point.X1 + point.X2 == 0)
            throw BadInput(where + "a reading of zero under load can't be compared; check the columns");
        const double full = readings.capacity_reading;
        for (const double reading : {point.X1, point.X2, point.X3, point.X5}) {
            if (reading * full < 0)
                throw BadInput(where + "the reading " + number_text(reading) +
                               " has not the sign of # capacity_reading; check both");
            if (std::fabs(reading) > 1.1 * std::fabs(full))
                throw BadInput(where + "the reading " + number_text(reading) + " lies above # capacity_reading = " + number_text(full) +
                               ", the reading at the highest force; check it, as the zero is judged by it");
        }
        means.x.push_back(point.force_N);
        means.y.push_back((point.X1 + point.X3 + point.X5) / 3);
    }
    const bool given =
        std::all_of(points.begin(), points.end(), [](const auto& p) { return p.Xa.has_value(); });
    Class376Result result;
    std::optional<LineFit> fit;
    if (!given) {
        if (!readings.degree)
            throw BadInput(
                "the line \"# degree = …\" (1, 2 or 3) is missing, and there is no column Xa instead");
        if (points.size() < static_cast<std::size_t>(*readings.degree) + 2)
            throw BadInput("a curve of degree " + std::to_string(*readings.degree) + " through " +
                           std::to_string(points.size()) +
                           " forces leaves no interpolation error to see; take at least " +
                           std::to_string(*readings.degree + 2) +
                           " forces (the standard asks for 8) or lower the degree");
        fit = fit_line(means, *readings.degree, false);
        result.coefficients = fit->coefficients;
    }
    std::vector<int> ranks;
    for (std::size_t i = 0; i < points.size(); ++i) {
        const auto& point = points[i];
        const double mean = means.y[i];
        const double curve = given ? *point.Xa : predict(*fit, point.force_N).y;
        if (curve == 0)
            throw BadInput("at " + number_text(point.force_N) + " N: the interpolated reading Xa is zero");
        const auto [least, most] = std::minmax({point.X1, point.X3, point.X5});
        Class376Point out;
        out.force_N = point.force_N;
        out.b_percent = (most - least) / std::fabs(mean) * 100;
        out.b_repeat_percent = std::fabs((point.X2 - point.X1) / ((point.X1 + point.X2) / 2)) * 100;
        out.fc_percent = (mean - curve) / curve * 100;
        out.v_percent =
            (std::fabs((point.X4d - point.X3) / point.X3) + std::fabs((point.X6d - point.X5) / point.X5)) /
            2 * 100;
        int rank = std::max({class_of(out.b_percent, limits_376_b),
                             class_of(out.b_repeat_percent, limits_376_b_repeat),
                             class_of(out.fc_percent, limits_376_fc), class_of(out.v_percent, limits_376_v)});
        if (readings.resolution_reading)
            rank = std::max(rank, class_of(*readings.resolution_reading / mean * 100, limits_376_resolution));
        out.class_name = name(names_376, rank);
        result.points.push_back(out);
        ranks.push_back(rank);
    }
    result.f0_percent = (readings.zero_after - readings.zero_before) / readings.capacity_reading * 100;
    const int zero_rank = class_of(result.f0_percent, limits_376_f0);
    result.f0_class = name(names_376, zero_rank);
    result.class_name = name(names_376, std::max(zero_rank, *std::max_element(ranks.begin(), ranks.end())));
    result.lowest_N = lowest_from(means.x, ranks, classes - 1);
    result.reach = reaches(means.x, ranks, zero_rank, names_376);
    return result;
}

}  // namespace halfturn::calibrate
