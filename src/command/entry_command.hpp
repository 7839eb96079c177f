// The commands that add a named person's entry to a job: note, sign-off, set-aside. They differ in one call.
#pragma once

#include <CLI/CLI.hpp>
#include <functional>
#include <string>

#include "record/reader.hpp"

namespace halfturn::command {

// Keeps the entry and returns its number.
using KeepEntry =
    std::function<std::int64_t(record::Store& store, const record::JobRow& job, const std::string& who, const std::string& text)>;

// ID TEXT --who NAME [--store FILE] [--json]; `text_needed` makes TEXT a must.
void add_entry_options(CLI::App* command, const std::string& text_help, bool text_needed, const KeepEntry& keep);

// Tells what was kept and the chain's new head.
void tell_entry(record::Store& store, std::int64_t entry, bool json);

}  // namespace halfturn::command
