// The parts of `halfturn instruments`: what its subcommands share.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include <CLI/CLI.hpp>

#include "core/reading.hpp"
#include "core/set_up.hpp"

namespace halfturn::command {

// Options of a port that a person may give: what is left out comes from the format, or is tried.
struct PortChoice {
    std::string device, format;
    std::vector<std::string> set;
    std::optional<int> baud, bits, stop;
    std::string parity;
    std::optional<bool> dtr, rts;

    bool line_given() const { return baud || bits || stop || !parity.empty(); }
};
void add_port_options(CLI::App& command, PortChoice& choice);

// --set key=value …, as often as one likes: each adds to those before, where a plain option would replace them.
void add_set_option(CLI::App& command, std::vector<std::string>& set, const std::string& says);
// The settings of "key=value" words. Throws BadInput.
Settings settings_from(const std::vector<std::string>& set);

// The port as chosen: with a format, its line and limits (throws BadInput for settings it can't use); without, bytes only.
PortSetUp port_from(const PortChoice& choice);

std::string line_text(const LineSettings& line);     // "9600 baud, 8N1"
std::string option_text(const Settings& settings);   // " --set unit=mm --set …", for a line to copy
std::string hex_text(std::string_view bytes);        // "2B 31 0D"
std::string printable_text(std::string_view bytes);    // "+1." with a dot for what can't be printed
std::string item_text(const Item& item);             // "12.34 mm", "fault overload (OL)", "refused: format"

void list_instruments(bool json);
void add_listen(CLI::App& instruments);
void add_settle(CLI::App& instruments);
void add_save(CLI::App& instruments);

}  // namespace halfturn::command
