// Trends for the terminal: each group's chart in characters, its signals, gaps and capability in words.
#include <algorithm>
#include <cmath>

#include "core/calm_text.hpp"
#include "core/folded_text.hpp"
#include "core/number_text.hpp"
#include "record/wall_clock.hpp"
#include "review/trends.hpp"

namespace halfturn::review {
namespace {

constexpr std::size_t most_columns = 64, value_rows = 11, range_rows = 5, most_named = 8;

std::string number(double value) { return figures_text(value, 3); }

std::string right(const std::string& text, std::size_t width) {
    return std::string(text.size() < width ? width - text.size() : 0, ' ') + text;
}

std::string job(const TrendPoint& point) { return "job " + std::to_string(point.number); }

bool signalled(const ControlChart& chart, std::size_t at) {
    return std::any_of(chart.runs.begin(), chart.runs.end(), [&](const Run& run) { return run.from <= at && at <= run.to; });
}

struct Line {
    double value;
    char mark;
    const char* words;
};

// One strip of a chart: the newest jobs that fit, one or more columns each.
class Strip {
public:
    Strip(const TrendChart& one, std::vector<std::optional<double>> values, std::vector<Line> lines, std::size_t rows, bool logarithmic)
        : one_(one), values_(std::move(values)), lines_(std::move(lines)), rows_(rows), log_(logarithmic) {
        shown_ = std::min(values_.size(), most_columns);
        first_ = values_.size() - shown_;
        per_job_ = std::clamp<std::size_t>(most_columns / shown_, 1, 4);
        for (std::size_t i = first_; i < values_.size(); ++i)
            if (values_[i]) take(*values_[i]);
        for (const Line& line : lines_) take(line.value);
        if (!(high_ > low_)) low_ -= 1, high_ += 1;
    }

    std::string text() const {
        std::vector<std::string> grid(rows_, std::string(width(), ' ')), label(rows_), note(rows_);
        if (lines_.empty()) label.front() = number(plain(high_)), label.back() = number(plain(low_));
        for (const Line& line : lines_) {
            const std::size_t row = row_of(line.value);
            for (std::size_t c = 0; c < width(); c += line.mark == '.' ? 2 : 1) grid[row][c] = line.mark;
            label[row] = number(line.value), note[row] = " " + std::string(line.words);
        }
        for (std::size_t i = first_; i < values_.size(); ++i)
            if (values_[i]) grid[row_of(*values_[i])][column(i)] = signalled(one_.chart, i) ? '#' : 'o';
        std::string text;
        for (std::size_t row = 0; row < rows_; ++row) {
            std::string drawn = right(label[row], 8) + " |" + grid[row] + note[row];
            drawn.erase(drawn.find_last_not_of(' ') + 1);
            text += drawn + "\n";
        }
        return text;
    }

    // The line below, with a stroke at every gap, and the first and last job's numbers.
    std::string axis() const {
        std::string line(width(), '-');
        for (std::size_t i = first_ + 1; i < values_.size(); ++i)
            if (!one_.points[i].gap.empty()) line[column(i) - (per_job_ > 1 ? 1 : 0)] = '|';
        const std::string from = job(one_.points[first_]), to = job(one_.points.back());
        const std::size_t space = from.size() + to.size() + 2 <= width() ? width() - from.size() - to.size() : 2;
        return std::string(9, ' ') + "+" + line + "\n" + std::string(10, ' ') + from + std::string(space, ' ') + to + "\n";
    }

private:
    std::size_t width() const { return shown_ * per_job_; }
    std::size_t column(std::size_t i) const { return (i - first_) * per_job_ + (per_job_ - 1) / 2; }
    double scaled(double value) const { return log_ ? std::log(value) : value; }
    double plain(double scaled) const { return log_ ? std::exp(scaled) : scaled; }
    void take(double value) {
        low_ = std::min(low_, scaled(value));
        high_ = std::max(high_, scaled(value));
    }
    std::size_t row_of(double value) const {
        const double share = (high_ - scaled(value)) / (high_ - low_);
        return static_cast<std::size_t>(std::lround(share * static_cast<double>(rows_ - 1)));
    }

    const TrendChart& one_;
    std::vector<std::optional<double>> values_;
    std::vector<Line> lines_;
    std::size_t rows_;
    bool log_;
    std::size_t shown_ = 0, first_ = 0, per_job_ = 1;
    double low_ = INFINITY, high_ = -INFINITY;
};

std::string drawing(const TrendChart& one, const ChartedInfo& info) {
    const ControlChart& c = one.chart;
    std::vector<std::optional<double>> values;
    for (const TrendPoint& point : one.points) values.emplace_back(point.value);
    std::vector<Line> limits, ranges;
    if (c.known) {
        limits = {{c.low, '.', "limit"}, {c.high, '.', "limit"}, {c.centre, '-', "centre"}};
        ranges = {{info.logarithmic ? 1.0 : 0.0, ' ', ""}, {c.range_high, '.', "limit"}, {c.mean_range, '-', "mean"}};
    }
    const Strip strip(one, std::move(values), std::move(limits), value_rows, info.logarithmic);
    std::string text = strip.text() + strip.axis();
    if (!c.known) return text;
    const Strip steps(one, c.moving_range, std::move(ranges), range_rows, info.logarithmic);
    return text + "  Steps from job to job" + (info.logarithmic ? ", as factors" : "") + "\n" + steps.text();
}

std::string limits_words(const TrendChart& one, const ChartedInfo& info) {
    const ControlChart& c = one.chart;
    if (!c.known) return folded_text("No limits: " + c.why_not + ".", "  ", "  ");
    const std::string unit = info.unit.empty() ? "" : " " + std::string(info.unit);
    std::string words = "Centre " + number(c.centre) + unit + ", limits " + number(c.low) + " to " + number(c.high) + unit +
                        ", from " + std::to_string(c.base) + " jobs and " + std::to_string(c.ranges) + " steps between neighbours";
    if (info.logarithmic)
        words += "; such a step is a factor of " + number(c.mean_range) + ", seldom above " + number(c.range_high);
    else words += "; such a step is " + number(c.mean_range) + unit + ", seldom above " + number(c.range_high) + unit;
    words += ".";
    if (c.provisional)
        words += " Limits from fewer than " + std::to_string(ControlChart::steady_values) + " jobs are provisional.";
    return folded_text(words, "  ", "  ");
}

std::string signals_words(const TrendChart& one) {
    if (!one.chart.known) return {};
    if (one.chart.runs.empty()) return "  No signal: the jobs scatter as they usually do.\n";
    std::string text;
    for (const Run& run : one.chart.runs) {
        std::string where = job(one.points[run.from]);
        if (run.to != run.from) where += " to " + std::to_string(one.points[run.to].number);
        text += folded_text(where + ": " + std::string(run_rule_words(run.rule)) + " (" + std::string(run_rule_id(run.rule)) + ")",
                            "  # ", "    ");
    }
    return text;
}

std::string gaps_words(const TrendChart& one) {
    std::string text;
    std::size_t named = 0, more = 0;
    for (const TrendPoint& point : one.points) {
        if (point.gap.empty()) continue;
        if (named == most_named) ++more;
        else ++named, text += (text.empty() ? "" : "; ") + std::string("before ") + job(point) + ", " + point.gap;
    }
    if (text.empty()) return {};
    return folded_text(
        "| No step is taken: " + text + (more > 0 ? "; and at " + std::to_string(more) + " more places" : "") + ".", "  ",
        "    ");
}

std::string capability_words(const TrendChart& one, const ChartedInfo& info) {
    if (!one.capability || !one.chart.known) return {};
    const Capability& c = *one.capability;
    std::string words = "Capability against " + std::string(one.limits_expected ? "what is expected" : "the limits given") + ", ";
    words += c.low && c.high ? number(*c.low) + " to " + number(*c.high)
             : c.low         ? "at least " + number(*c.low)
                             : "at most " + number(*c.high);
    if (!info.unit.empty()) words += " " + std::string(info.unit);
    words += ": ";
    if (c.cp) words += "Cp " + number(*c.cp) + " (" + number(*c.cp_low) + " to " + number(*c.cp_high) + "), ";
    words += "Cpk " + number(c.cpk) + " (" + number(c.cpk_low) + " to " + number(c.cpk_high) + "), 95 % confidence.";
    if (!one.chart.runs.empty()) words += " It means little while the jobs are not in order.";
    return folded_text(words, "  ", "  ");
}

std::string left_out_words(const Trend& trend) {
    std::string text;
    for (const TrendLeftOut& one : trend.left_out)
        text += folded_text("job " + std::to_string(one.number) + ": " + calm_line(one.because), "  ", "      ");
    return text.empty() ? text : "\nLeft out\n" + text;
}

}  // namespace

std::string trend_text(const Trend& trend) {
    const ChartedInfo& info = charted_info(trend.question.charted);
    const std::string work = trend.question.work == Work::out ? "bearings out" : "bearings in";
    std::string text = "Trend of the " + std::string(info.title) + ", " + work + ", by " + std::string(by_id(trend.question.by)) + "\n";
    if (trend.charts.empty()) text += "\nNo job has this figure.\n";
    for (const TrendChart& one : trend.charts) {
        const auto day = [](const TrendPoint& point) { return record::utc_text(point.started_utc_ms).substr(0, 10); };
        const std::string from = day(one.points.front()), to = day(one.points.back());
        text += "\n" + folded_text((one.group.empty() ? "(no name)" : calm_line(one.group)) + ": " + std::to_string(one.points.size()) +
                                       (one.points.size() == 1 ? " job, " : " jobs, ") + from + (from == to ? "" : " to " + to),
                                   "", "  ");
        if (one.points.size() > 1) text += drawing(one, info);
        else text += "  " + job(one.points.front()) + ": " + number(one.points.front().value) + "\n";
        text += limits_words(one, info) + signals_words(one) + gaps_words(one) + capability_words(one, info);
    }
    return text + left_out_words(trend);
}

}  // namespace halfturn::review
