// halfturn take-back: an earlier entry no longer holds. It stays readable, as does the reason.
#include <memory>

#include "command/command.hpp"
#include "command/entry_command.hpp"
#include "command/store_option.hpp"
#include "review/entries.hpp"

namespace halfturn::command {
namespace {

void add_take_back(CLI::App* command, Status&) {
    struct Options {
        std::string store, why, who;
        std::int64_t entry = 0;
        bool json = false;
    };
    auto options = std::make_shared<Options>();
    command->add_option("entry", options->entry, "The entry's number, as `halfturn review ID` shows it")->required();
    command->add_option("why", options->why, "Why it no longer holds")->required();
    command->add_option("--who", options->who, "Your name")->required();
    add_store_option(*command, options->store);
    command->add_flag("--json", options->json, "Print the entry's number and the chain's head as JSON");
    command->callback([options] {
        record::Store store = open_store(options->store, record::Mode::add_to);
        tell_entry(store, review::add_taken_back(store, options->entry, options->who, options->why), options->json);
    });
}

}  // namespace

extern const Command command_take_back;
const Command command_take_back{
    "take-back", "Take back an earlier note, inspection, sign-off or setting aside; it stays readable", add_take_back};

}  // namespace halfturn::command
