// halfturn set-aside: trends and families leave the job out from now on; it stays in the record.
#include "command/command.hpp"
#include "command/entry_command.hpp"
#include "review/entries.hpp"

namespace halfturn::command {
namespace {

void add_set_aside(CLI::App* command, Status&) {
    add_entry_options(command, "Why", true,
                      review::add_set_aside);
}

}  // namespace

extern const Command command_set_aside;
const Command command_set_aside{"set-aside", "Set a recorded job aside: trends leave it out, the record keeps it", add_set_aside};

}  // namespace halfturn::command
