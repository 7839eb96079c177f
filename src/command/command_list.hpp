// The list of subcommands that CMake writes from the files in src/command/commands.
#pragma once

#include <span>

#include "command/command.hpp"

namespace halfturn::command {

extern const std::span<const Command* const> commands;

}  // namespace halfturn::command
