#include "fit/bearing_tolerances.hpp"

#include <algorithm>
#include <array>
#include <cstddef>
#include <span>

#include "core/failure.hpp"
#include "core/nearest_word.hpp"
#include "core/number_text.hpp"

namespace halfturn::fit {

namespace {

struct ToleranceRow {
    double over_mm, including_mm;
    std::array<double, 3> lower_um;  // Normal, 6, 5; the upper deviation is zero throughout
};
constexpr std::array<ToleranceRow, 6> bore_rows{{
    {2.5, 10, {-8, -7, -5}},
    {10, 18, {-8, -7, -5}},
    {18, 30, {-10, -8, -6}},
    {30, 50, {-12, -10, -8}},
    {50, 80, {-15, -12, -9}},
    {80, 120, {-20, -15, -10}},
}};
constexpr std::array<ToleranceRow, 6> outer_rows{{
    {6, 18, {-8, -7, -5}},
    {18, 30, {-9, -8, -6}},
    {30, 50, {-11, -9, -7}},
    {50, 80, {-13, -11, -9}},
    {80, 120, {-15, -13, -10}},
    {120, 150, {-18, -15, -11}},
}};
constexpr std::array<ToleranceRow, 6> width_rows{{
    {2.5, 10, {-120, -120, -40}},
    {10, 18, {-120, -120, -80}},
    {18, 30, {-120, -120, -120}},
    {30, 50, {-120, -120, -120}},
    {50, 80, {-150, -150, -150}},
    {80, 120, {-200, -200, -200}},
}};

struct ClearanceRow {
    double over_mm, including_mm;
    std::array<double, 8> um;  // C2, CN, C3, C4, each smallest and largest
};
constexpr std::array<ClearanceRow, 6> clearance_rows{{
    {6, 10, {0, 7, 2, 13, 8, 23, 14, 29}},
    {10, 18, {0, 9, 3, 18, 11, 25, 18, 33}},
    {18, 24, {0, 10, 5, 20, 13, 28, 20, 36}},
    {24, 30, {1, 11, 5, 20, 13, 28, 23, 41}},
    {30, 40, {1, 11, 6, 20, 15, 33, 28, 46}},
    {40, 50, {1, 11, 6, 23, 18, 36, 30, 51}},
}};

std::size_t class_index(std::string_view name) {
    if (name == "Normal" || name == "normal" || name == "0" || name == "P0") return 0;
    if (name == "6" || name == "P6") return 1;
    if (name == "5" || name == "P5") return 2;
    const std::string near = nearest_word(name, bearing_tolerance_classes());
    throw BadInput("bearing tolerance class \"" + std::string(name) + "\" is not known: use Normal, 6 or 5" +
                   (near.empty() ? "" : " (did you mean " + near + "?)"));
}

std::size_t group_index(std::string_view name) {
    if (name == "Normal" || name == "normal" || name == "C0") return 1;
    const auto known = clearance_groups();
    const auto found = std::find(known.begin(), known.end(), name);
    if (found != known.end()) return static_cast<std::size_t>(found - known.begin());
    const std::string near = nearest_word(name, known);
    throw BadInput("clearance group \"" + std::string(name) + "\" is not known: use C2, CN, C3 or C4" +
                   (near.empty() ? "" : " (did you mean " + near + "?)"));
}

template <typename Row>
const Row& row_for(std::span<const Row> rows, double nominal_mm, const std::string& what) {
    for (const auto& row : rows)
        if (nominal_mm > row.over_mm && nominal_mm <= row.including_mm) return row;
    throw BadInput(what + " " + number_text(nominal_mm) +
                   " mm is outside the table, which covers sizes over " + number_text(rows.front().over_mm) +
                   " up to and including " + number_text(rows.back().including_mm) + " mm");
}

}  // namespace

BearingLimits bearing_tolerance(BearingDimension dimension, std::string_view tolerance_class,
                                double nominal_mm) {
    const std::size_t column = class_index(tolerance_class);
    const bool outer = dimension == BearingDimension::outer_diameter;
    const std::span<const ToleranceRow> rows = outer ? std::span<const ToleranceRow>(outer_rows)
                                               : dimension == BearingDimension::bore
                                                   ? std::span<const ToleranceRow>(bore_rows)
                                                   : std::span<const ToleranceRow>(width_rows);
    const auto& row = row_for(rows, nominal_mm, outer ? "outside diameter" : "bore");
    const Basis basis = outer && column == 1 ? Basis::from_memory : Basis::looked_up;
    return {row.over_mm, row.including_mm, row.lower_um[column], 0.0, {basis, "ISO 492:2014"}};
}

BearingLimits radial_clearance(std::string_view group, double bore_mm) {
    const std::size_t column = 2 * group_index(group);
    const auto& row = row_for(std::span<const ClearanceRow>(clearance_rows), bore_mm, "bore");
    return {row.over_mm,
            row.including_mm,
            row.um[column],
            row.um[column + 1],
            {Basis::looked_up, "ISO 5753-1:2009"}};
}

std::vector<std::string> bearing_tolerance_classes() { return {"Normal", "6", "5"}; }
std::vector<std::string> clearance_groups() { return {"C2", "CN", "C3", "C4"}; }

}  // namespace halfturn::fit
