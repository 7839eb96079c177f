// halfturn calibrate: what the instruments' numbers are worth. Each subcommand is one calibrate_<name>.cpp
// beside this folder.
#include "command/calibrate_commands.hpp"
#include "command/calibrate_keep.hpp"
#include "command/command.hpp"

namespace halfturn::command {
namespace {

void add_calibrate(CLI::App* calibrate, Status& status) {
    calibrate->require_subcommand(1);
    add_calibrate_rig(*calibrate);
    add_calibrate_stray(*calibrate);
    add_calibrate_series(*calibrate);
    add_calibrate_daily(*calibrate, status);
    add_calibrate_line(*calibrate);
    add_calibrate_budget(*calibrate);
    add_calibrate_certificates(*calibrate);
    add_calibrate_statement(*calibrate);
    add_calibrate_class(*calibrate);
}

}  // namespace

extern const Command command_calibrate;
const Command command_calibrate{"calibrate", "Calibrate force, travel, stiffness and pitch, with uncertainty", add_calibrate};

}  // namespace halfturn::command
