// halfturn plan JOB [--inventory FILE]: whether this goes with these parts, before the press is touched.
#include <memory>
#include <optional>
#include <string>

#include "command/command.hpp"
#include "command/paper_file.hpp"
#include "command/planned.hpp"
#include "files/job_file.hpp"
#include "files/rig_file.hpp"
#include "plan/plan.hpp"
#include "plan/set_up_card.hpp"
#include "plan/stack_drawing.hpp"

namespace halfturn::command {

namespace {

struct PlanOptions {
    std::string job, rig, inventory, drawing, card;
    bool letter = false;
    std::int64_t seed = 1;
    bool json = false;
};

constexpr plan::DrawingSize drawing_sheet{277, 190, true};

void draw(const PlanOptions& options, const Planned& made, const JobFile& job) {
    if (!options.drawing.empty())
        write_sheet(options.drawing, "--drawing", sheet::drawing_json(plan::stack_drawing(made.stack, drawing_sheet)));
    const auto paper = options.letter ? sheet::Paper::letter : sheet::Paper::a4;
    if (!options.card.empty())
        write_sheet(options.card, "--card", sheet::document_json(plan::set_up_card(made.plan, job, made.stack, paper)));
}

void run(const PlanOptions& options, Status& status) {
    if (!options.drawing.empty()) check_sheet_name(options.drawing, "--drawing");
    if (!options.card.empty()) check_sheet_name(options.card, "--card");
    const JobFile job = read_job_file(options.job);
    plan::Inventory inventory;
    inventory.given = !options.inventory.empty();
    if (inventory.given) inventory = plan::read_inventory_file(options.inventory);
    std::optional<RigFile> rig;
    if (!options.rig.empty()) rig = read_rig_file(options.rig);
    const auto seed = static_cast<std::uint64_t>(options.seed);
    const Planned made = planned(job, rig ? &*rig : nullptr, inventory, seed);
    draw(options, made, job);
    print(options.json ? plan::plan_json(made.plan) + "\n" : plan::plan_text(made.plan));
    status.code = plan::answer_exit_status(made.plan.answer);
}

void add_plan(CLI::App* command, Status& status) {
    auto options = std::make_shared<PlanOptions>();
    command->add_option("job", options->job, "Job file (TOML)")->required();
    command->add_option("--rig", options->rig, "Rig file (TOML): the screw, the press and its instruments");
    command->add_option("--inventory", options->inventory,
                        "The bench's parts (TOML); `halfturn example inventory` prints one to start from");
    command->add_option("--seed", options->seed, "Seed of the sampling; the same seed gives the same numbers")
        ->check(CLI::NonNegativeNumber);
    command->add_option("--drawing", options->drawing, "Write a section of the stack, to scale, into this file (.svg, .pdf or .png)");
    command->add_option("--card", options->card, "Write the set-up card, one page to print, into this file (.pdf, .svg or .png)");
    command->add_flag("--letter", options->letter, "The card on Letter paper instead of A4");
    command->add_flag("--json", options->json, "Print JSON");
    command->footer("Exit status: 0 go ahead, 10 with care, 20 not this way, 2 bad input, 1 failure.");
    command->callback([options, &status] { run(*options, status); });
}

}  // namespace

extern const Command command_plan;
const Command command_plan{
    "plan", "Whether a job goes with the parts at hand: which of them, what force and torque, what to mind, in what order",
    add_plan};

}  // namespace halfturn::command
