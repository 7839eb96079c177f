// halfturn sign-off: a reviewer stands for a job as it is judged now.
#include "command/command.hpp"
#include "command/entry_command.hpp"
#include "review/entries.hpp"

namespace halfturn::command {
namespace {

void add_sign_off(CLI::App* command, Status&) {
    add_entry_options(command, "A remark", false,
                      review::add_sign_off);
}

}  // namespace

extern const Command command_sign_off;
const Command command_sign_off{"sign-off", "Sign off a recorded job as it is judged now, under your name", add_sign_off};

}  // namespace halfturn::command
