// Trends over jobs: one figure of each job, charted in order within each rig, family, person, instrument or calibration.
//   const Trend trend = trend_of(jobs, question);   trend.charts[0].chart.runs …   trend_text(trend), trend_json(trend)
//
// Pure: trend_jobs.hpp reads the jobs from a store. Figures that scatter in proportion are charted as logarithms, so that
// limits are factors; the numbers here are back on the figure's own scale, and its moving ranges are then factors too.
// A job that was set aside, or has not the figure, is left out and listed with why.
// Two charted jobs are no neighbours (a gap, over which no moving range is taken) when between them
//   the rig, an instrument or its calibration changed · a job of the same chart was left out · more than `pause_days` passed
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/set_up.hpp"
#include "review/control_chart.hpp"

namespace halfturn::review {

enum class Charted : std::uint8_t {
    break_loose,    // break-loose force over the middle that was expected before anything was learned
    interference,   // um, for which that force speaks at the middle of friction
    friction,       // for which that force speaks at the middle of interference
    over_sliding,   // break-loose force over sliding force
    release_turns,  // turns from contact to release
    loading_slope,  // N/mm of screw travel while the press winds up: its stiffness as this job had it
    contact,        // turns from the job's zero to contact
    driving,        // pressing in: driving force over the middle that was expected
};
struct ChartedInfo {
    Charted charted;
    std::string_view id;     // stable: "break-loose"
    std::string_view title;  // "break-loose force over expected"
    std::string_view unit;   // "um"; empty for ratios
    bool logarithmic;        // scatters in proportion
    bool from_curve;         // the job is judged again for it, which takes some milliseconds each
    std::optional<Work> work;  // only for this way; nothing: either
};
const ChartedInfo& charted_info(Charted charted);
const std::vector<ChartedInfo>& all_charted();

enum class By : std::uint8_t { rig, family, who, instrument, calibration };
std::string_view by_id(By by);  // "rig", …
std::optional<By> by_from_id(std::string_view id);

// One job, as far as a chart needs it.
struct TrendJob {
    std::int64_t number = 0;
    std::string job_id;
    std::int64_t started_utc_ms = 0;
    std::string rig, family, who, instrument, calibration;
    std::optional<double> value;
    std::string why_not;                      // when there is no value, or it may not be used
    std::optional<double> expected_low, expected_high;  // of the value, where the set-up expects it within limits
};

struct TrendQuestion {
    Charted charted = Charted::break_loose;
    Work work = Work::out;
    By by = By::rig;
    ChartOptions chart;
    double pause_days = 30;            // common practice, no published source
    std::optional<double> low, high;   // limits for the capability; otherwise the middle of what the jobs' set-ups expect
};

struct TrendPoint {
    std::int64_t number = 0;
    std::string job_id;
    std::int64_t started_utc_ms = 0;
    double value = 0;
    std::string gap;  // why the job before is no neighbour: "the calibration changed"; empty: it is one
};

struct TrendChart {
    std::string group;               // the rig, the family, … all its jobs share
    std::vector<TrendPoint> points;  // oldest first
    ControlChart chart;              // one entry a point; on the figure's own scale
    std::optional<Capability> capability;  // mean and sd of the logarithms for a logarithmic figure, limits on its own scale
    bool limits_expected = false;          // the capability's limits are what the set-ups expect, not given
};

struct TrendLeftOut {
    std::int64_t number = 0;
    std::string group, because;
};

struct Trend {
    TrendQuestion question;
    std::vector<TrendChart> charts;  // the largest first
    std::vector<TrendLeftOut> left_out;
};

// The jobs in any order.
Trend trend_of(std::vector<TrendJob> jobs, const TrendQuestion& question);

// For people, at most 80 columns, each chart drawn; for programs, with numbers as in the structs.
std::string trend_text(const Trend& trend);
std::string trend_json(const Trend& trend);

}  // namespace halfturn::review
