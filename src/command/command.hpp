// How a subcommand joins the program: src/command/commands/<name>.cpp defines add_<name>(app, status), which adds itself
// to the option parser and, when chosen, does its work and sets the exit status. CMake writes the list.
#pragma once

#include <string>

#include <CLI/CLI.hpp>

namespace halfturn::command {

// Exit status of every command (contracts): 0 done or nothing unusual, 1 failure of ours or the system's, 2 bad input,
// 10 look closer, 20 stop and inspect, 30 can't tell.
struct Status {
    int code = 0;
};

void add_all(CLI::App& app, Status& status);

// Writes the text to standard output and checks that it arrived (a full disk behind a redirect is a Failure).
void print(const std::string& text);

}  // namespace halfturn::command
