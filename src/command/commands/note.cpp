// halfturn note: words added to a job.
#include "command/command.hpp"
#include "command/entry_command.hpp"
#include "review/entries.hpp"

namespace halfturn::command {
namespace {

void add_note(CLI::App* command, Status&) {
    add_entry_options(command, "The note", true, review::add_note);
}

}  // namespace

extern const Command command_note;
const Command command_note{"note", "Add a note to a recorded job", add_note};

}  // namespace halfturn::command
