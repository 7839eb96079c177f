#include "command/entry_command.hpp"

#include <memory>

#include "command/command.hpp"
#include "command/store_option.hpp"
#include "core/json_writer.hpp"

namespace halfturn::command {

void tell_entry(record::Store& store, std::int64_t entry, bool json) {
    const std::string head = store.head();
    if (json) {
        JsonWriter out;
        out.object().put("entry", entry).put("head", "sha256:" + head);
        return print(out.end().take() + "\n");
    }
    print("Kept as entry " + std::to_string(entry) + ".\nHead of the store " + head + "\n");
}

void add_entry_options(CLI::App* command, const std::string& text_help, bool text_needed, const KeepEntry& keep) {
    struct Options {
        std::string store, id, text, who;
        bool json = false;
    };
    auto options = std::make_shared<Options>();
    command->add_option("id", options->id, "The job's number or id")->required();
    command->add_option("text", options->text, text_help)->required(text_needed);
    command->add_option("--who", options->who, "Your name")->required();
    add_store_option(*command, options->store);
    command->add_flag("--json", options->json, "Print the entry's number and the chain's head as JSON");
    command->callback([options, keep] {
        record::Store store = open_store(options->store, record::Mode::add_to);
        const record::JobRow job = record::find_job(store, options->id);
        tell_entry(store, keep(store, job, options->who, options->text), options->json);
    });
}

}  // namespace halfturn::command
