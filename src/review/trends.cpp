#include "review/trends.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <map>

#include "core/number_text.hpp"
#include "review/trace.hpp"

namespace halfturn::review {
namespace {

constexpr std::array by_ids{std::string_view("rig"), std::string_view("family"), std::string_view("who"),
                            std::string_view("instrument"), std::string_view("calibration")};
constexpr double ms_per_day = 86'400'000;

const std::string& group_of(const TrendJob& job, By by) {
    switch (by) {
        case By::rig: return job.rig;
        case By::family: return job.family;
        case By::who: return job.who;
        case By::instrument: return job.instrument;
        default: return job.calibration;
    }
}

std::string gap_between(const TrendJob& before, const TrendJob& after, bool left_out_between, double pause_days) {
    if (before.rig != after.rig) return "another rig";
    if (before.instrument != after.instrument) return "another instrument";
    if (before.calibration != after.calibration) return "calibrated anew";
    if (left_out_between) return "a job between is left out";
    const double days = static_cast<double>(after.started_utc_ms - before.started_utc_ms) / ms_per_day;
    if (days > pause_days) return "a pause of " + fixed_text(days, 0) + " days";
    return {};
}

// Back from logarithms.
void unlog(ControlChart& chart) {
    for (double* value : {&chart.centre, &chart.low, &chart.high, &chart.mean_range, &chart.range_high}) *value = std::exp(*value);
    for (auto& range : chart.moving_range)
        if (range) range = std::exp(*range);
}

// What most set-ups expected of the figure.
std::optional<double> middle(std::vector<double> values) {
    if (values.empty()) return {};
    return median(std::move(values));
}

TrendChart chart_of(const std::vector<const TrendJob*>& jobs, const TrendQuestion& question, std::vector<TrendLeftOut>& left_out) {
    const ChartedInfo& info = charted_info(question.charted);
    const auto scaled = [&](double value) { return info.logarithmic ? std::log(value) : value; };
    TrendChart out;
    std::vector<ChartValue> values;
    std::vector<double> plain, expected_low, expected_high;
    const TrendJob* before = nullptr;
    bool left_out_between = false;
    for (const TrendJob* job : jobs) {
        std::string why_not = job->why_not;
        if (why_not.empty() && job->value && info.logarithmic && !(*job->value > 0)) why_not = "its figure is not above zero";
        if (!job->value || !why_not.empty()) {
            left_out.push_back({job->number, group_of(*job, question.by), why_not.empty() ? "it has no such figure" : why_not});
            left_out_between = true;
            continue;
        }
        TrendPoint point{job->number, job->job_id, job->started_utc_ms, *job->value, {}};
        if (before != nullptr) point.gap = gap_between(*before, *job, left_out_between, question.pause_days);
        values.push_back({scaled(point.value), !point.gap.empty()});
        plain.push_back(scaled(point.value));
        if (job->expected_low) expected_low.push_back(*job->expected_low);
        if (job->expected_high) expected_high.push_back(*job->expected_high);
        out.points.push_back(std::move(point));
        before = job;
        left_out_between = false;
    }
    out.chart = individuals_chart(values, question.chart);
    out.limits_expected = !question.low && !question.high;
    const auto low = out.limits_expected ? middle(expected_low) : question.low,
               high = out.limits_expected ? middle(expected_high) : question.high;
    const auto limit = [&](const std::optional<double>& on_scale) -> std::optional<double> {
        if (!on_scale || (info.logarithmic && !(*on_scale > 0))) return {};
        return scaled(*on_scale);
    };
    out.capability = capability(plain, limit(low), limit(high));
    if (info.logarithmic) {
        unlog(out.chart);
        if (out.capability) out.capability->low = low, out.capability->high = high;
    }
    return out;
}

}  // namespace

const std::vector<ChartedInfo>& all_charted() {
    static const std::vector<ChartedInfo> all{
        {Charted::break_loose, "break-loose", "break-loose force over expected", "", true, false, Work::out},
        {Charted::interference, "interference", "interference the force speaks for", "um", false, true, {}},
        {Charted::friction, "friction", "friction the force speaks for", "", true, true, {}},
        {Charted::over_sliding, "over-sliding", "break-loose over sliding force", "", true, true, Work::out},
        {Charted::release_turns, "release-turns", "turns from contact to release", "turns", true, false, Work::out},
        {Charted::loading_slope, "loading-slope", "slope of the loading", "N/mm", true, true, Work::out},
        {Charted::contact, "contact", "turns from zero to contact", "turns", false, false, {}},
        {Charted::driving, "driving", "driving force over expected", "", true, true, Work::in},
    };
    return all;
}

const ChartedInfo& charted_info(Charted charted) { return all_charted()[static_cast<std::size_t>(charted)]; }

std::string_view by_id(By by) { return by_ids[static_cast<std::size_t>(by)]; }

std::optional<By> by_from_id(std::string_view id) {
    for (std::size_t i = 0; i < by_ids.size(); ++i)
        if (by_ids[i] == id) return static_cast<By>(i);
    return {};
}

Trend trend_of(std::vector<TrendJob> jobs, const TrendQuestion& question) {
    Trend trend{question, {}, {}};
    std::sort(jobs.begin(), jobs.end(), [](const TrendJob& a, const TrendJob& b) {
        return a.started_utc_ms != b.started_utc_ms ? a.started_utc_ms < b.started_utc_ms : a.number < b.number;
    });
    std::map<std::string, std::vector<const TrendJob*>> groups;
    for (const TrendJob& job : jobs) groups[group_of(job, question.by)].push_back(&job);
    for (const auto& [group, members] : groups) {
        TrendChart chart = chart_of(members, question, trend.left_out);
        if (chart.points.empty()) continue;
        chart.group = group;
        trend.charts.push_back(std::move(chart));
    }
    std::stable_sort(trend.charts.begin(), trend.charts.end(),
                     [](const TrendChart& a, const TrendChart& b) { return a.points.size() > b.points.size(); });
    std::sort(trend.left_out.begin(), trend.left_out.end(),
              [](const TrendLeftOut& a, const TrendLeftOut& b) { return a.number < b.number; });
    return trend;
}

}  // namespace halfturn::review
