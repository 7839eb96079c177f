// halfturn calibrate daily LOG: is the rig still the rig its certificate speaks of?
#include <memory>
#include <string>

#include "calibrate/csv_readings.hpp"
#include "calibrate/daily_check.hpp"
#include "command/calibrate_commands.hpp"
#include "command/command.hpp"
#include "core/json_writer.hpp"
#include "core/number_text.hpp"

namespace halfturn::command {
namespace {

using namespace calibrate;

struct DailyOptions {
    std::string file;
    bool json = false;
};

std::string as_json(const DailyResult& result) {
    JsonWriter json;
    json.object().put("passed", result.passed).key("findings").array();
    for (const auto& f : result.findings) {
        json.object()
            .put("name", f.name)
            .put("today", f.today)
            .put("deviation", f.deviation)
            .put("limit", f.limit);
        json.put("within_limit", f.within_limit)
            .put("outside_chart", f.outside_chart)
            .put("drifting", f.drifting)
            .key("chart");
        if (f.chart)
            json.object()
                .put("mean", f.chart->mean)
                .put("low", f.chart->low)
                .put("high", f.chart->high)
                .end();
        else
            json.null();
        json.end();
    }
    json.end().key("advice").array();
    for (const auto& line : result.advice) json.text(line);
    return json.end().end().take() + "\n";
}

}  // namespace

std::string daily_text(const DailyResult& result) {
    std::string out;
    for (const auto& f : result.findings)
        out += f.name + ": " + number_text(f.today) + ", off by " + figures_text(f.deviation, 3) + " of " +
               number_text(f.limit) + " allowed: " + (f.within_limit ? "good" : "NOT good") + "\n";
    for (const auto& line : result.advice) out += line + "\n";
    return out + (result.passed ? "The rig passes today.\n"
                                : "The rig does not pass today: no job on it until that is settled.\n");
}

void add_calibrate_daily(CLI::App& calibrate, Status& status) {
    add_subcommand(calibrate, "daily",
        "Judge the morning check: zero, gain (shunt or known spring), a known block, a small blocked pull.\n"
        "LOG is CSV, one line a day, oldest first: any of the columns zero, gain, block, stiffness, serial; "
        "above it for\n"
        "each `# zero = …` (from the certificate) and `# zero_limit = …` (how far it may be off), and `# "
        "serial = …`.\n"
        "Exit status 20 when the rig does not pass, 10 when something is unlike the days before.",
        [&status](CLI::App& daily) {
            auto options = std::make_shared<DailyOptions>();
            daily.add_option("LOG", options->file, "CSV file")->required();
            daily.add_flag("--json", options->json, "print one JSON object");
            daily.callback([options, &status] {
                const DailyLog log = read_daily_log(CsvReadings::from_file(options->file));
                const DailyResult result = check_day(log.items, log.serial_matches);
                print(options->json ? as_json(result) : daily_text(result));
                status.code = !result.passed ? 20 : result.advice.empty() ? 0 : 10;
            });
        });
}

}  // namespace halfturn::command
