// The option --store, the same for every command that reads or writes the record.
#pragma once

#include <CLI/CLI.hpp>
#include <string>

#include "record/store.hpp"

namespace halfturn::command {

void add_store_option(CLI::App& command, std::string& path);

// Opens the store named, or the default one, and tells its remarks on standard error.
record::Store open_store(const std::string& path, record::Mode mode);

}  // namespace halfturn::command
