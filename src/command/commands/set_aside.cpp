// halfturn set-aside: trends and families leave the job out from now on; it stays in the record.
#include "command/command.hpp"
#include "command/entry_command.hpp"
#include "review/entries.hpp"

namespace halfturn::command {

void add_set_aside(CLI::App& app, Status&) {
    add_entry_command(app, "set-aside", "Set a recorded job aside: trends leave it out, the record keeps it", "Why", true,
                      review::add_set_aside);
}

}  // namespace halfturn::command
