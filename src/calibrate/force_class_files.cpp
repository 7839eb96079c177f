// Reads the CSV forms of force_classes.hpp.
#include <cmath>
#include <map>

#include "calibrate/csv_readings.hpp"
#include "calibrate/force_classes.hpp"
#include "core/number_text.hpp"

namespace halfturn::calibrate {
namespace {

constexpr double largest_force_N = 1e9;

}  // namespace

Class7500Readings read_class_7500(const CsvReadings& table) {
    Class7500Readings out;
    out.capacity_N = table.note("capacity_N", 1e-3, largest_force_N);
    out.resolution_N = table.note("resolution_N", 0, largest_force_N);
    out.zero_N = table.note("zero_N", -largest_force_N, largest_force_N);
    const auto series = table.numbers("series");
    const auto direction = table.texts("direction");
    const auto indicated = table.numbers("indicated_N");
    const auto reference = table.numbers("reference_N");
    struct Found {
        std::size_t first_row = 0;
        std::map<int, double> by_series;
    };
    std::map<double, Found> points;
    bool any_down = false;
    for (std::size_t i = 0; i < table.rows(); ++i) {
        const double number = series[i];
        if (number != 1 && number != 2 && number != 3 && number != 4)
            throw table.error_in_row(
                i, "series must be 1, 2 or 3 (force rising), or 4 (falling), but is " + number_text(number));
        if (direction[i] != "up" && direction[i] != "down")
            throw table.error_in_row(i, "direction must be up or down, but is \"" + direction[i] + "\"");
        if ((number == 4) != (direction[i] == "down"))
            throw table.error_in_row(
                i, "series 1 to 3 go up and series 4 goes down; check series and direction");
        if (!(indicated[i] > 0) || !(reference[i] > 0))
            throw table.error_in_row(
                i, "indicated_N and reference_N must be above zero; the zero belongs into # zero_N");
        auto& found = points[indicated[i]];
        if (found.by_series.empty()) found.first_row = i;
        if (!found.by_series.emplace(static_cast<int>(number), reference[i]).second)
            throw table.error_in_row(i, "series " + number_text(number) + " has a second reading at " +
                                            number_text(indicated[i]) +
                                            " N; give each point once per series");
        any_down = any_down || number == 4;
    }
    for (const auto& [indicated_N, found] : points) {
        Class7500Readings::Point point;
        point.indicated_N = indicated_N;
        for (int s = 1; s <= 3; ++s) {
            const auto at = found.by_series.find(s);
            if (at == found.by_series.end())
                throw table.error_in_row(found.first_row, "the point " + number_text(indicated_N) +
                                                              " N has no reading in series " +
                                                              std::to_string(s) +
                                                              "; take it again (all points must have the "
                                                              "same indicated_N in series 1, 2 and 3)");
            point.up_N[static_cast<std::size_t>(s - 1)] = at->second;
        }
        const auto down = found.by_series.find(4);
        if (down != found.by_series.end())
            point.down_N = down->second;
        else if (any_down && indicated_N != points.rbegin()->first)
            throw table.error_in_row(found.first_row,
                                     "the point " + number_text(indicated_N) +
                                         " N has no reading in series 4 (down), but others have; take it "
                                         "again or leave series 4 out altogether");
        out.points.push_back(point);
    }
    return out;
}

Class376Readings read_class_376(const CsvReadings& table) {
    Class376Readings out;
    constexpr double any = 1e15;
    out.capacity_reading = table.note("capacity_reading", -any, any);
    if (out.capacity_reading == 0) throw table.error("# capacity_reading must not be zero");
    out.zero_before = table.note("zero_before", -any, any);
    out.zero_after = table.note("zero_after", -any, any);
    out.resolution_reading = table.note_if("resolution_reading", 0, any);
    if (const auto degree = table.note_if("degree", 1, 3)) {
        if (*degree != std::floor(*degree)) throw table.error("# degree must be 1, 2 or 3");
        out.degree = static_cast<int>(*degree);
    }
    const auto force = table.numbers("force_N");
    const auto X1 = table.numbers("X1"), X2 = table.numbers("X2"), X3 = table.numbers("X3");
    const auto X4d = table.numbers("X4d"), X5 = table.numbers("X5"), X6d = table.numbers("X6d");
    const auto Xa = table.numbers_if("Xa");
    for (std::size_t i = 0; i < table.rows(); ++i) {
        if (!(force[i] > 0))
            throw table.error_in_row(i, "force_N must be above zero; the zero belongs into # zero_before");
        out.points.push_back({force[i], X1[i], X2[i], X3[i], X4d[i], X5[i], X6d[i], {}});
        if (!Xa.empty()) out.points.back().Xa = Xa[i];
    }
    return out;
}

}  // namespace halfturn::calibrate
