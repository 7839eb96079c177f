// halfturn note: words added to a job.
#include "command/command.hpp"
#include "command/entry_command.hpp"
#include "review/entries.hpp"

namespace halfturn::command {

void add_note(CLI::App& app, Status&) {
    add_entry_command(app, "note", "Add a note to a recorded job", "The note", true, review::add_note);
}

}  // namespace halfturn::command
