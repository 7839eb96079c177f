// The list of subcommands that CMake writes from the files in src/command/commands.
#pragma once

#include <span>
#include <string_view>

#include "command/command.hpp"

namespace halfturn::command {

struct Command {
    std::string_view file;  // its name, with underscores for hyphens
    void (*add)(CLI::App& app, Status& status);
};
extern const std::span<const Command> commands;

}  // namespace halfturn::command
