// The screw's pitch, and whether its turn counter loses counts: counter against caliper over many turns.
#pragma once

#include <optional>
#include <vector>

#include "calibrate/conformity.hpp"
#include "calibrate/line_fit.hpp"

namespace halfturn::calibrate {

class CsvReadings;

struct PitchReadings {
    double counts_per_turn = 0;
    double travel_resolution_mm = 0.01;  // of the caliper
    double travel_u_percent = 0;         // standard uncertainty of the caliper's scale
    std::optional<double>
        counter_wrap;  // the counter starts again at this count (65536); nothing: it never does
    std::optional<double> nominal_pitch_mm;
    std::optional<double> tolerance_mm;  // of the pitch, for a decision
    struct Reading {
        double counts = 0, travel_mm = 0;  // read together, screw at rest
    };
    std::vector<Reading> readings;  // in the order taken
};

struct LostCounts {
    std::size_t before_reading = 0;  // the jump lies between this reading (from 0) and the one before
    double counts = 0;               // counts missing there (negative: extra), in the direction of turning
};

struct PitchResult {
    double pitch_mm = 0, u_mm = 0;  // travel per turn, always positive
    int direction = 1;              // +1: travel grows with the counts; -1: it falls
    double turns = 0;               // the range that was turned
    double residual_sd_mm = 0;      // after taking out lost counts
    std::vector<LostCounts> lost;
    double least_counts_seen = 0;  // in the middle of the run: a loss of fewer stays unseen
    std::optional<Conformity> conformity;
};

// Travel fitted over turns (QR). A jump between neighbours that is far outside the scatter (six times, robustly estimated, no
// less than the caliper's step) and over half a count is taken as lost counts. So is a smaller one that shows in all readings
// together: fitted with a parabola, its offset has a Student's t that comes by chance in one clean run of a thousand, and the
// jump between its neighbours is at least half of it (a screw of uneven pitch bends, and has no such jump). The line is then
// fitted together with these offsets, so that the pitch and its uncertainty stay right. u: the slope's own, the caliper's
// resolution at both ends of the range (rectangular) and its scale. Range: five readings or more, two turns or more. Common
// practice, no published source; checked on computed runs. Throws BadInput: too few readings or turns, no counts per turn, or
// more jumps than can be told from scatter.
PitchResult fit_pitch(const PitchReadings& readings);

// CSV: columns counts (or turns) and travel_mm; notes `# counts_per_turn` (needed with counts), and
// optionally
// `# travel_resolution_mm`, `# travel_u_percent`, `# counter_wrap`, `# nominal_pitch_mm`, `# tolerance_mm`.
PitchReadings read_pitch(const CsvReadings& table);

}  // namespace halfturn::calibrate
