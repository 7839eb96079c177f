// halfturn instruments: what is plugged in, what it says, how good it is, and its block for the rig file.
#include <memory>
#include <string>

#include "command/command.hpp"
#include "command/instruments.hpp"
#include "core/json_writer.hpp"

namespace halfturn::command {
namespace {

void list_formats(bool json) {
    JsonWriter out(2);
    out.object().key("formats").array();
    std::string text;
    for (const Format* format : all_formats()) {
        out.object()
            .put("id", format->id)
            .put("title", format->title)
            .put("line", line_text(format->line))
            .put("asked", !format->poll.empty() || format->request);
        out.key("settings").array();
        for (const auto& key : format->settings) out.text(key);
        out.end().end();
        std::string id(format->id);
        id.resize(std::max<std::size_t>(id.size() + 1, 15), ' ');
        text += id + std::string(format->title) + "\n";
    }
    print(json ? out.end().end().take() + "\n" : text);
}

void add_instruments(CLI::App* command, Status&) {
    auto json = std::make_shared<bool>(false);
    command->add_flag("--json", *json, "Print JSON");
    command->require_subcommand(0, 1);
    add_subcommand(*command, "formats", "List the wire formats that can be read", [json](CLI::App& formats) {
        formats.add_flag("--json", *json, "Print JSON");
        formats.callback([json] { list_formats(*json); });
    });
    add_listen(*command);
    add_settle(*command);
    add_save(*command);
    command->callback([command, json] {
        if (command->get_subcommands().empty()) list_instruments(*json);
    });
}

}  // namespace

extern const Command command_instruments;
const Command command_instruments{
    "instruments", "List serial ports; listen to an instrument, see how good it is, save it for the rig file", add_instruments};

}  // namespace halfturn::command
