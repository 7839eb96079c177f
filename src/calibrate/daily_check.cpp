#include "calibrate/daily_check.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "calibrate/csv_readings.hpp"
#include "calibrate/probability.hpp"
#include "calibrate/stiffness.hpp"
#include "core/failure.hpp"
#include "core/number_text.hpp"

namespace halfturn::calibrate {
namespace {

constexpr std::size_t useful_chart = 8;
constexpr std::size_t long_run = 8;

const DailyFinding* find(const DailyResult& result, std::string_view name) {
    const auto found = std::find_if(result.findings.begin(), result.findings.end(),
                                    [&](const auto& f) { return f.name == name; });
    return found == result.findings.end() ? nullptr : &*found;
}

std::vector<std::string> advise(const DailyResult& result, std::optional<bool> serial_matches) {
    std::vector<std::string> out;
    const auto failed = [&](const char* name) {
        const DailyFinding* found = find(result, name);
        return found && !found->within_limit;
    };
    const bool swapped = serial_matches == false;
    if (swapped)
        out.push_back(
            "The load cell's serial number is not the certificate's: put the right cell back, or use the "
            "certificate of this one.");
    if (failed("zero"))
        out.push_back(
            "The zero has moved: take all load off, let it warm up for ten minutes and check again. If it "
            "stays, the cell was "
            "overloaded, knocked or swapped: don't press with it; calibrate it anew.");
    const DailyFinding* stiffness = find(result, "stiffness");
    if (failed("gain"))
        out.push_back(
            "The gain is off: check the plug and the settings of the amplifier, then the known spring or "
            "shunt itself. If it stays, calibrate the force anew.");
    if (failed("block"))
        out.push_back(
            "The caliper is off at the known block: clean jaws and block, set the zero again, look for a "
            "loose mount.");
    if (failed("stiffness") && !failed("gain"))
        out.push_back(std::string("The blocked pull is ") +
                      (stiffness->deviation < 0 ? "softer" : "stiffer") + " than its certificate says" +
                      (find(result, "gain") ? " and the gain is right, so the parts differ"
                                            : "; it may be the force or the parts") +
                      ": same drift, same free span, nuts tight, nothing cracked or bent?");
    if (failed("stiffness") && failed("gain"))
        out.push_back(
            "The stiffness is off too, as a wrong gain makes it; look at it again once the gain is right.");
    for (const auto& f : result.findings) {
        if (!f.within_limit) continue;
        if (f.outside_chart)
            out.push_back("Today's " + f.name +
                          " is within its limit but unlike the days before; check it once more.");
        else if (f.drifting)
            out.push_back("The " + f.name +
                          " has been on one side for eight days; it is drifting towards its limit, plan a "
                          "calibration.");
    }
    return out;
}

}  // namespace

IndividualsChart individuals_chart(const std::vector<double>& values) {
    if (values.size() < 2) throw BadInput("a chart of single values needs two of them or more");
    std::vector<double> ranges;
    for (std::size_t i = 1; i < values.size(); ++i) ranges.push_back(std::fabs(values[i] - values[i - 1]));
    IndividualsChart chart;
    chart.mean = mean_and_sd(values).mean;
    chart.mean_range = mean_and_sd(ranges).mean;
    // Mean and standard deviation of the range of two normal values: 2/sqrt(pi) and sqrt(2 - 4/pi).
    const double d2 = 2 / std::sqrt(std::numbers::pi), d3 = std::sqrt(2 - 4 / std::numbers::pi);
    chart.sigma = chart.mean_range / d2;
    chart.low = chart.mean - 3 * chart.sigma;
    chart.high = chart.mean + 3 * chart.sigma;
    chart.range_high = chart.mean_range * (1 + 3 * d3 / d2);
    return chart;
}

DailyResult check_day(const std::vector<DailyItem>& items, std::optional<bool> serial_matches) {
    if (items.empty()) throw BadInput("there is nothing to check: give zero, gain, block or stiffness");
    DailyResult result;
    result.passed = serial_matches != false;
    for (const auto& item : items) {
        if (item.readings.empty()) throw BadInput("the " + item.name + " was not read today");
        DailyFinding finding;
        finding.name = item.name;
        finding.today = item.readings.back();
        finding.deviation = finding.today - item.expected;
        finding.limit = item.limit;
        finding.within_limit = std::fabs(finding.deviation) <= item.limit * (1 + 1e-9);
        const std::vector<double> before(item.readings.begin(), item.readings.end() - 1);
        if (before.size() >= useful_chart) {
            finding.chart = individuals_chart(before);
            finding.outside_chart = finding.today < finding.chart->low || finding.today > finding.chart->high;
        }
        if (item.readings.size() >= long_run) {
            const auto recent = item.readings.end() - static_cast<std::ptrdiff_t>(long_run);
            finding.drifting =
                std::all_of(recent, item.readings.end(), [&](double v) { return v > item.expected; }) ||
                std::all_of(recent, item.readings.end(), [&](double v) { return v < item.expected; });
        }
        result.passed = result.passed && finding.within_limit;
        result.findings.push_back(std::move(finding));
    }
    result.advice = advise(result, serial_matches);
    return result;
}

DailyLog read_daily_log(const CsvReadings& table) {
    constexpr double any = 1e12;
    DailyLog out;
    for (const char* name : {"zero", "gain", "block", "stiffness"}) {
        if (!table.has(name)) continue;
        const std::string text = name;
        out.items.push_back(
            {text, table.note(text, -any, any), table.note(text + "_limit", 0, any), table.numbers(text)});
    }
    if (out.items.empty())
        throw table.error("none of the columns zero, gain, block, stiffness is there; add what was checked");
    if (table.has("serial")) {
        const auto expected = table.text_note_if("serial");
        if (!expected)
            throw table.error("the column serial needs the certificate's number: add \"# serial = …\"");
        out.serial_matches = table.texts("serial").back() == *expected;
    }
    return out;
}

DailyReading read_daily_series(const CsvReadings& table) {
    const auto travel = table.numbers("travel_mm"), force = table.numbers("force_N");
    const auto what = table.texts("what");
    DailyReading out;
    BlockedPull pull;
    bool zero_read = false;
    for (std::size_t i = 0; i < what.size(); ++i) {
        if (what[i] == "zero") {
            out.zero_N = force[i];
            zero_read = true;
        } else if (what[i] == "block") {
            out.block_mm = travel[i];
        } else {
            pull.readings.push_back({travel[i], force[i]});
        }
    }
    if (!zero_read) throw BadInput("the zero was skipped; without it there is no check");
    out.stiffness_N_per_mm = fit_stiffness(pull).N_per_mm;
    return out;
}

std::string daily_line(std::string_view log, const DailyReading& today) {
    std::string_view head;
    for (std::string_view rest = log; !rest.empty() && head.empty();) {
        const std::string_view line = rest.substr(0, rest.find('\n'));
        rest.remove_prefix(std::min(rest.size(), line.size() + 1));
        if (const auto first = line.find_first_not_of(" \t\r"); first != std::string_view::npos && line[first] != '#') head = line;
    }
    std::string out;
    for (std::string_view rest = head; !rest.empty();) {
        std::string_view name = rest.substr(0, rest.find(','));
        rest.remove_prefix(std::min(rest.size(), name.size() + 1));
        while (!name.empty() && (name.front() == ' ' || name.front() == '\t')) name.remove_prefix(1);
        while (!name.empty() && (name.back() == ' ' || name.back() == '\t' || name.back() == '\r')) name.remove_suffix(1);
        if (!out.empty()) out += ",";
        if (name == "zero") out += number_text(today.zero_N);
        else if (name == "stiffness") out += number_text(today.stiffness_N_per_mm);
        else if (name == "block" && today.block_mm) out += number_text(*today.block_mm);
        else if (name == "block") throw BadInput("the log has the column block, but no block was measured; give its length");
        else
            throw BadInput("the log has the column \"" + std::string(name) +
                           "\", which this check does not read; add today's line by hand");
    }
    if (out.empty()) throw BadInput("the log names no columns; write a line such as zero,stiffness");
    return out;
}

}  // namespace halfturn::calibrate
