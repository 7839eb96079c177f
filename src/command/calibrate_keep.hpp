// A calibrate command that reads one table of readings, makes a report, prints it and, when asked, keeps it
// in the store as a certificate.
#pragma once

#include <CLI/CLI.hpp>
#include <functional>
#include <memory>
#include <string>

#include "calibrate/certificate.hpp"
#include "calibrate/csv_readings.hpp"
#include "calibrate/stray_load.hpp"

namespace halfturn::command {

struct Report {
    std::string json;  // one object, without a line end
    std::string text;
};

// Of a guided series, as the command of that name makes it: "force", "stiffness", "pitch", "travel" or a stray load's kind.
Report report_series(const std::string& kind, const calibrate::CsvReadings& table);
Report report_stray(calibrate::Stray stray, const calibrate::CsvReadings& table, std::uint64_t seed = 1);

using MakeReport = std::function<Report(const calibrate::CsvReadings&)>;

// Adds `name` with FILE, --json, the options of keeping and `more` of its own. Errors found in the numbers get the file's name.
void add_readings_command(CLI::App& calibrate, const std::string& name, const std::string& help, const MakeReport& make,
                          const std::function<void(CLI::App&)>& more = [](CLI::App&) {});

// `calibrate certificates` and `calibrate certificate ID`.
void add_calibrate_certificates(CLI::App& calibrate);

}  // namespace halfturn::command
