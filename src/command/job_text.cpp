#include "command/job_text.hpp"

#include <algorithm>
#include <cmath>

#include "command/summary.hpp"
#include "core/failure.hpp"
#include "core/number_text.hpp"
#include "curve/plot.hpp"
#include "files/json_value.hpp"

namespace halfturn::command {
namespace {

constexpr int plot_columns = 66, plot_rows = 14;

std::string padded(std::string text, std::size_t width) {
    return text.size() < width ? std::string(width - text.size(), ' ') + text : text;
}

}  // namespace

std::string joined_objects(std::string_view first, std::string_view second) {
    while (!first.empty() && first.back() != '}') first.remove_suffix(1);
    while (!second.empty() && second.front() != '{') second.remove_prefix(1);
    if (first.empty() || second.size() < 2) throw Failure("expected two JSON objects");
    first.remove_suffix(1);
    second.remove_prefix(1);
    return std::string(first) + (first.size() > 1 && second.front() != '}' ? "," : "") + std::string(second);
}

JudgedBefore describe(const record::JudgedRow& row) {
    JudgedBefore before{row.judged.judge, call_in_words(row.judged.call), {}};
    try {
        const JsonValue json = JsonValue::parse(row.judged.json, "judgement");
        if (const JsonValue* reasons = json.find("reasons"))
            for (const JsonValue& reason : reasons->items()) before.reasons.push_back(reason.text());
    } catch (const BadInput&) {
        before.reasons.clear();  // a judgement is shown as far as it can be read
    }
    return before;
}

std::string reasons_text(const std::vector<std::string>& reasons) {
    std::string text;
    for (const std::string& reason : reasons) text += (text.empty() ? "" : "; ") + reason;
    return text.empty() ? text : " (" + text + ")";
}

std::string plot_measured(const std::vector<CurvePoint>& expected, const std::vector<CurveSample>& measured) {
    if (measured.size() < 2) return {};
    // From a little before contact to the last turn measured. What was read while the screw was backed off is left out: it would
    // lie across the pull.
    constexpr double backed_off_turns = 0.01;
    double to = 0, highest = 1;
    for (const CurveSample& sample : measured) {
        to = std::max(to, sample.turns);
        if (sample.turns >= -0.1) highest = std::max(highest, sample.force_N);
    }
    to = std::max(to, 0.1);
    const double from = -0.05 * to;
    for (const CurvePoint& point : expected)
        if (point.turns <= to) highest = std::max(highest, std::min(point.high_N, 2 * highest));
    const double per_column = (to - from) / plot_columns, per_row = curve::round_up(highest) / plot_rows;

    struct Column { double low = 1e300, high = -1e300, band_low = 0, band_high = 0; };
    std::vector<Column> columns(plot_columns);
    double furthest = from;
    for (const CurveSample& sample : measured) {
        furthest = std::max(furthest, sample.turns);
        if (sample.turns < furthest - backed_off_turns) continue;
        const double at = std::floor((sample.turns - from) / per_column);
        if (at < 0 || at > plot_columns) continue;
        Column& column = columns[std::min(static_cast<std::size_t>(at), columns.size() - 1)];
        column.low = std::min(column.low, sample.force_N);
        column.high = std::max(column.high, sample.force_N);
    }
    for (int i = 0; expected.size() >= 2 && i < plot_columns; ++i) {
        const double turns = from + (i + 0.5) * per_column;
        if (turns < 0 || turns > expected.back().turns) continue;
        const CurvePoint point = curve::curve_at(expected, turns);
        columns[static_cast<std::size_t>(i)].band_low = point.low_N;
        columns[static_cast<std::size_t>(i)].band_high = point.high_N;
    }

    std::string text;
    for (int row = plot_rows - 1; row >= 0; --row) {
        const double low = row * per_row, high = low + per_row;
        const bool labelled = row == plot_rows - 1 || row == plot_rows / 2 - 1;
        text += labelled ? padded(figures_text(high, 3), 7) + " N \u2524" : std::string(10, ' ') + "\u2502";
        std::string line;
        for (const Column& column : columns) {
            const bool trace = column.low < high && column.high >= low;
            const bool band = column.band_high > 0 && column.band_low < high && column.band_high >= low;
            line += trace ? "█" : band ? "░" : " ";
        }
        while (!line.empty() && line.back() == ' ') line.pop_back();
        text += line + "\n";
    }
    text += "      0 N \u2514";
    for (int i = 0; i < plot_columns; ++i) text += "\u2500";
    text += "\n";
    std::string axis(plot_columns + 12, ' ');
    const std::string start = "contact", end = fixed_text(to, 2) + " turns";
    const auto contact = static_cast<std::size_t>(11 + std::lround(-from / per_column));
    axis.replace(contact, start.size(), start);
    axis.replace(axis.size() - end.size(), end.size(), end);
    return text + axis + "\n" + "           █ measured   ░ expected\n";
}

}  // namespace halfturn::command
