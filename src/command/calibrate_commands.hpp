// The subcommands of `halfturn calibrate`. Each adds itself to the parser; when chosen it reads its file,
// computes in the calibrate room and prints.
#pragma once

#include <CLI/CLI.hpp>

#include "calibrate/daily_check.hpp"
#include "command/command.hpp"

namespace halfturn::command {

// Today's verdict for people, as `calibrate daily` prints it.
std::string daily_text(const calibrate::DailyResult& result);

void add_calibrate_daily(CLI::App& calibrate, Status& status);
void add_calibrate_line(CLI::App& calibrate);
void add_calibrate_rig(CLI::App& calibrate);
void add_calibrate_series(CLI::App& calibrate);
void add_calibrate_stray(CLI::App& calibrate);
void add_calibrate_statement(CLI::App& calibrate);
void add_calibrate_budget(CLI::App& calibrate);
void add_calibrate_class(CLI::App& calibrate);

}  // namespace halfturn::command
