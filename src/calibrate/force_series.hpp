// The rig's load cell against a reference cell in the same stack, or against dead weights: calibration curve,
// what it is worth, and from which force upward it may be used.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "calibrate/budget.hpp"
#include "calibrate/force_standards.hpp"
#include "calibrate/line_fit.hpp"
#include "calibrate/monte_carlo.hpp"

namespace halfturn::calibrate {

class CsvReadings;

struct ForceSeries {
    double capacity_N = 0;
    double resolution = 0;                   // least count, in the indicated unit
    double reference_u_percent = 0;          // standard uncertainty of the reference, relative
    double zero_before = 0, zero_after = 0;  // indicated, load off
    double allowed_percent = 1;              // expanded uncertainty that is still useful
    std::optional<int> degree;               // 1 to 3; nothing: chosen by the readings
    struct Reading {
        double indicated = 0, reference_N = 0, reference_u_N = 0;
        bool up = true;        // force rising (waits on the way down belong to hysteresis)
        std::string position;  // where the load sat, or how the cell was turned; empty: as used
    };
    std::vector<Reading> readings;
};

struct PositionEffect {
    std::string position;
    double error_percent = 0;  // mean of (curve - reference) / reference with the load there
};

struct ForceUncertainty {
    double force_N = 0, u_N = 0, k = 0, U_N = 0;
};

struct ForceSeriesResult {
    DegreeChoice choice;
    LineFit curve;     // force in N over indication: its coefficients go into the rig file
    LowerLimit limit;  // ASTM E74
    std::optional<double> hysteresis_percent;  // widest curve - reference on the way down, of capacity
    double zero_return_percent = 0;            // zero after less zero before, of capacity
    std::vector<PositionEffect> positions;     // when positions were given
    std::optional<double> position_spread_percent;
    std::vector<ForceUncertainty> uncertainty;  // at each reference force on the way up, rising
    Budget budget;                              // at the highest of them
    GumResult gum;
    MonteCarloResult monte_carlo;
    std::optional<double> lowest_usable_N;  // from here up, U / force stays within allowed_percent
};

// Curve: least squares of the reference over the indication of the rising readings with the empty position
// (or of all rising ones if every one has a position), degree 1 to 3 by choose_degree. Parts of the budget at
// a force F: reference, curve, scatter of one reading about it, resolution, zero shift, hysteresis and
// position (rectangular, at their full size: an observed largest value is the half-width). U per point: GUM
// with Welch-Satterthwaite. Follows EURAMET cg-4's list of parts (from memory, not looked up); rules of size
// are common practice. Throws BadInput: fewer than 5 rising readings, reference not above zero, capacity
// below the readings.
ForceSeriesResult calibrate_force(const ForceSeries& series, std::uint64_t seed = 1);

// CSV: columns indicated and reference_N, or mass_kg (dead weights), and optionally reference_u_N, direction
// (up, down), position. Notes `# capacity_N`, `# resolution` (in the indicated unit), and optionally `#
// reference_u_percent`,
// `# zero_before`, `# zero_after`, `# allowed_percent`, `# degree`; with mass_kg `# gravity_m_per_s2`
// (needed),
// `# gravity_u_m_per_s2`, `# air_density_kg_per_m3` (1.2), `# mass_density_kg_per_m3` (8000), `#
// mass_u_percent`.
ForceSeries read_force_series(const CsvReadings& table);

}  // namespace halfturn::calibrate
