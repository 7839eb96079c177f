// halfturn expect JOB: what this job should need on this rig, before anything is turned.
#include <memory>
#include <optional>
#include <string>

#include "command/command.hpp"
#include "command/job_setup.hpp"
#include "curve/expectation.hpp"
#include "files/job_file.hpp"
#include "files/rig_file.hpp"

namespace halfturn::command {

namespace {

struct ExpectOptions {
    std::string job, rig, store;
    std::int64_t seed = 1;
    bool family = false, practice = false, json = false;
};

void run(const ExpectOptions& options) {
    const JobFile job = read_job_file(options.job);
    std::optional<RigFile> rig;
    if (!options.rig.empty()) rig = read_rig_file(options.rig);
    const auto facts = curve::facts_from(job, rig ? &*rig : nullptr);
    std::optional<curve::FamilyJobs> family;
    if (options.family) family = family_of(job, options.store, options.practice);
    const auto expectation = curve::expect(facts, static_cast<std::uint64_t>(options.seed), family ? &*family : nullptr);
    print(options.json ? curve::expectation_json(expectation) + "\n"
                       : curve::expectation_text(expectation, facts));
}

void add_expect(CLI::App* command, Status&) {
    auto options = std::make_shared<ExpectOptions>();
    command->add_option("job", options->job, "Job file (TOML)")->required();
    command->add_option("--rig", options->rig, "Rig file (TOML): the screw, the press and its instruments");
    command->add_option("--seed", options->seed, "Seed of the sampling; the same seed gives the same numbers")
        ->check(CLI::NonNegativeNumber);
    add_family_option(*command, options->family);
    command->add_flag("--practice", options->practice, "With --family: learn from practice jobs, and no others");
    command->add_option("--store", options->store, "Store file, instead of the usual one");
    command->add_flag("--json", options->json, "Print JSON");
    command->callback([options] { run(*options); });
}

}  // namespace

extern const Command command_expect;
const Command command_expect{
    "expect", "The force this job should need, turn by turn, how sure that is, and what would make it surer", add_expect};

}  // namespace halfturn::command
