// halfturn sign-off: a reviewer stands for a job as it is judged now.
#include "command/command.hpp"
#include "command/entry_command.hpp"
#include "review/entries.hpp"

namespace halfturn::command {

void add_sign_off(CLI::App& app, Status&) {
    add_entry_command(app, "sign-off", "Sign off a recorded job as it is judged now, under your name", "A remark", false,
                      review::add_sign_off);
}

}  // namespace halfturn::command
