// A caliper against gauge blocks, in the terms of ISO 13385-1, with a budget whose rectangular parts decide
// its k.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "calibrate/budget.hpp"
#include "calibrate/conformity.hpp"
#include "calibrate/line_fit.hpp"
#include "calibrate/monte_carlo.hpp"

namespace halfturn::calibrate {

class CsvReadings;

struct TravelReadings {
    double resolution_mm = 0;             // least count: the smallest step of the display
    std::string block_grade = "1";        // ISO 3650; its limit deviation is taken as rectangular
    std::optional<double> block_u_mm;     // or the blocks' standard uncertainty from their certificate
    double temperature_half_width_K = 2;  // caliper and blocks agree in temperature within this
    double expansion_per_K = 11.5e-6;     // steel
    double abbe_mm = 0;              // how far beside its scale the caliper is used (its mount on the press)
    double jaw_angle_mrad = 0;       // half-width of the angle by which jaw or mount may tip
    std::optional<double> limit_mm;  // largest permitted error, for the decision
    struct Reading {
        double block_mm = 0, indicated_mm = 0;
        std::string face;  // "outside" (jaws), "inside", "depth", "step"
    };
    std::vector<Reading> readings;
};

struct TravelPoint {
    std::string face;
    double block_mm = 0;
    int count = 0;
    double mean_error_mm = 0, worst_error_mm = 0,
           spread_mm = 0;  // worst by size, sign kept; spread: extremes
};

struct ScaleShift {
    std::string face;
    double error_mm = 0;  // worst mean error with these faces, the zero set with the outside jaws
};

struct TravelResult {
    std::vector<TravelPoint> points;              // by face, then length
    double partial_surface_contact_error_mm = 0;  // worst single error of the outside jaws
    double repeatability_mm = 0;                  // widest spread at one length, outside jaws
    std::vector<ScaleShift> scale_shift;          // of every other face used
    std::optional<LineFit> scale;  // error over length, outside jaws, with three lengths or more
    Budget budget;                 // of the error at the longest block
    GumResult gum;
    MonteCarloResult monte_carlo;
    double k = 0, U_mm = 0;                // from the Monte Carlo interval: half of it, and that over u
    std::optional<Conformity> conformity;  // of the partial surface contact error with ± limit (ISO 14253-1)
};

// Terms and procedure: ISO 13385-1:2019 (partial surface contact error, repeatability of it, scale shift
// error; clause numbers from memory). Budget: EA-4/02 S10's parts (block, temperature, resolution) with the
// zero's own resolution, the scatter as t, and Abbe's error (offset times angle). U is Monte Carlo's, since a
// few rectangular parts make k about 1.7 to 1.9 for 95 %. Range: blocks to 150 mm by grade, to 1000 mm with
// block_u_mm. Throws BadInput: no reading with the outside jaws, lengths or resolution below zero.
TravelResult calibrate_travel(const TravelReadings& readings, std::uint64_t seed = 1);

// CSV: columns block_mm, indicated_mm and optionally face; notes `# resolution_mm` and optionally `#
// block_grade`,
// `# block_u_mm`, `# temperature_half_width_K`, `# abbe_mm`, `# jaw_angle_mrad`, `# limit_mm`.
TravelReadings read_travel(const CsvReadings& table);

}  // namespace halfturn::calibrate
