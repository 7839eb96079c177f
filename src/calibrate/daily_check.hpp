// The morning's two-minute check that the rig is still the rig its certificate speaks of.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace halfturn::calibrate {

class CsvReadings;

// ---- individuals chart
// ----------------------------------------------------------------------------------------------- Mean ± 3
// sigma with sigma from the mean moving range over d2 = 2/sqrt(pi); moving ranges against D4 times their
// mean. NIST/SEMATECH e-Handbook 6.3.2.2 (its 10 values: centre 50.81, limits 55.802 and 45.818 with the
// exact d2).
struct IndividualsChart {
    double mean = 0, sigma = 0, low = 0, high = 0, mean_range = 0, range_high = 0;
};
// Throws BadInput for fewer than two values (eight or more make a useful chart).
IndividualsChart individuals_chart(const std::vector<double>& values);

// ---- daily check
// ----------------------------------------------------------------------------------------------------- One
// thing looked at each morning: what the certificate says, how far it may be off, and what was read, oldest
// first.
struct DailyItem {
    std::string name;              // "zero", "gain", "block", "stiffness"
    double expected = 0;           // from the certificate
    double limit = 0;              // largest deviation, same unit; for a gain or stiffness from a percentage
    std::vector<double> readings;  // the last is today's
};

struct DailyFinding {
    std::string name;
    double today = 0, deviation = 0, limit = 0;
    bool within_limit = false;
    std::optional<IndividualsChart> chart;  // of the days before today, when there are eight or more
    bool outside_chart = false;             // today beyond 3 sigma of them
    bool drifting = false;  // today and the seven days before all on one side of the expected value
};

struct DailyResult {
    std::vector<DailyFinding> findings;
    bool passed = false;              // everything within its limit, and the cell is the certificate's
    std::vector<std::string> advice;  // what to do, calm and in order
};

// Limits decide; the chart and the run of eight only warn (Western Electric rules 1 and 4). A blocked pull
// divides force by travel, so it can't tell a changed gain from a changed stiffness: advice uses gain and
// stiffness together. serial_matches: the cell's serial number is the certificate's; nothing when it was not
// read. Common practice, no published source, but for the chart. Throws BadInput: no items, an item without
// readings.
DailyResult check_day(const std::vector<DailyItem>& items, std::optional<bool> serial_matches);

// CSV, one line a day, oldest first: any of the columns zero, gain, block, stiffness, with notes `# zero = …`
// (expected) and
// `# zero_limit = …`, and so on; limits are in the unit of the reading. Columns serial and `# serial = …` are
// compared as text (today's line).
struct DailyLog {
    std::vector<DailyItem> items;
    std::optional<bool> serial_matches;
};
DailyLog read_daily_log(const CsvReadings& table);

// ---- today's readings
// -----------------------------------------------------------------------------------------------------
// What a guided daily check read (guided_series.hpp's daily_steps): the zero's force, the block, the stiffness of the small
// pull (stiffness.hpp).
struct DailyReading {
    double zero_N = 0;
    std::optional<double> block_mm;
    double stiffness_N_per_mm = 0;
};
// CSV: columns travel_mm, force_N and what (zero, block or pull). Throws BadInput as fit_stiffness does, and without a zero.
DailyReading read_daily_series(const CsvReadings& table);

// Today's line for a log with these columns, in their order. Throws BadInput for a log with a column that this check does not
// read (gain, serial), or with a block that was not measured.
std::string daily_line(std::string_view log, const DailyReading& today);

}  // namespace halfturn::calibrate
