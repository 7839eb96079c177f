// halfturn inspect: what eyes, fingers and a gauge found at a seat, beside its jobs.
#include <memory>

#include "command/command.hpp"
#include "command/entry_command.hpp"
#include "command/store_option.hpp"
#include "core/failure.hpp"
#include "files/whole_file.hpp"
#include "review/entries.hpp"

namespace halfturn::command {
namespace {

constexpr std::size_t most_photo_file_bytes = std::size_t{32} << 20;  // a larger photo is refused with its size named

struct InspectOptions {
    std::string store, id, item, seat, who, turns_freely, decision, photo;
    std::vector<std::string> seen;
    review::Inspection found;
    bool json = false;
};

void inspect(InspectOptions options) {
    for (const std::string& name : options.seen) options.found.seen.push_back(*review::seen_from_name(name));
    if (!options.turns_freely.empty()) options.found.turns_freely = options.turns_freely == "yes";
    if (!options.decision.empty()) options.found.decision = review::decision_from_name(options.decision);
    if (!options.id.empty() && !(options.item.empty() && options.seat.empty()))
        throw BadInput("give either a job's number, or --item and --seat");
    const std::string photo = options.photo.empty() ? std::string() : whole_file(options.photo, most_photo_file_bytes);
    if (!options.photo.empty() && photo.empty()) throw BadInput(options.photo + " is empty");
    record::Store store = open_store(options.store, options.id.empty() ? record::Mode::write : record::Mode::add_to);
    const std::int64_t entry =
        options.id.empty() ? review::add_inspection(store, options.item, options.seat, options.who, options.found, photo)
                           : review::add_inspection(store, record::find_job(store, options.id), options.who, options.found, photo);
    tell_entry(store, entry, options.json);
}

void add_inspect(CLI::App* command, Status&) {
    auto options = std::make_shared<InspectOptions>();
    command->add_option("id", options->id, "The job's number or id; without it, --item and --seat name the seat");
    command->add_option("--item", options->item, "The item, when no job is named");
    command->add_option("--seat", options->seat, "The seat in it");
    command->add_option("--who", options->who, "Your name")->required();
    command->add_option("--gauge", options->found.gauge, "The gauge used");
    command->add_option("--bore-mm", options->found.bore_mm, "The bore's mean diameter, mm");
    command->add_option("--bore-u-um", options->found.bore_u_um, "Its standard uncertainty (k = 1), um");
    command->add_option("--seen", options->seen, "clean; or any of scored, corroded, cracked")
        ->delimiter(',')
        ->check(CLI::IsMember({"clean", "scored", "corroded", "cracked"}));
    command->add_option("--turns-freely", options->turns_freely, "Does the bearing turn freely by hand: yes or no")
        ->check(CLI::IsMember({"yes", "no"}));
    command->add_option("--decision", options->decision, "reuse, rework, bond or scrap")
        ->check(CLI::IsMember({"reuse", "rework", "bond", "scrap"}));
    command->add_option("--photo", options->photo, "A photo: JPEG, PNG or WebP, at most 8 MiB; its bytes are kept");
    command->add_option("--text", options->found.text, "Anything else");
    add_store_option(*command, options->store);
    command->add_flag("--json", options->json, "Print the entry's number and the chain's head as JSON");
    command->callback([options] { inspect(*options); });
}

}  // namespace

extern const Command command_inspect;
const Command command_inspect{"inspect", "Record what was found at a seat: its size, what was seen, what was decided", add_inspect};

}  // namespace halfturn::command
