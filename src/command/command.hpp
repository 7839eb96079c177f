// How a subcommand joins the program: src/command/commands/<name>.cpp defines the constant command_<name>, whose add_options
// says what it takes and, when it was chosen, does its work and sets the exit status. CMake writes the list.
#pragma once

#include <functional>
#include <string>

#include <CLI/CLI.hpp>

namespace halfturn::command {

// Exit status of every command (contracts): 0 done or nothing unusual, 1 failure of ours or the system's, 2 bad input,
// 10 look closer, 20 stop and inspect, 30 can't tell.
struct Status {
    int code = 0;
};

struct Command {
    const char* name;
    const char* description;
    void (*add_options)(CLI::App* command, Status& status);
};

// Adds a subcommand whose options are built only when it is chosen: building those of all takes longer than most commands run.
CLI::App* add_subcommand(CLI::App& parent, const std::string& name, const std::string& help,
                         const std::function<void(CLI::App&)>& add_options);

// Writes the text to standard output and checks that it arrived (a full disk behind a redirect is a Failure).
void print(const std::string& text);

}  // namespace halfturn::command
