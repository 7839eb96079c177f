// halfturn calibrate statement: what a rig's numbers are worth, per configuration, from the certificates it
// has. To be handed over with the rig.
#include <memory>
#include <string>

#include "command/calibrate_commands.hpp"
#include "command/calibrate_report.hpp"
#include "command/certificates.hpp"
#include "command/command.hpp"
#include "command/paper_file.hpp"
#include "core/calm_text.hpp"
#include "core/failure.hpp"
#include "core/number_text.hpp"
#include "record/store.hpp"
#include "report/accuracy.hpp"

namespace halfturn::command {
namespace {

struct CalibrateStatementOptions {
    std::string rig, store;
    std::optional<double> speed;
    PaperOptions paper;
    bool json = false;
};

std::string combined_text(const char* what, const std::optional<report::CombinedAccuracy>& combined) {
    if (!combined) return {};
    return std::string("\n") + what + "\n" + budget_text(combined->budget, combined->gum, combined->monte_carlo);
}

std::string statement_text(const std::vector<report::Accuracy>& all, const CalibrateStatementOptions& options, const std::string& day) {
    std::string text = "What " + options.rig + " is worth on " + day + "\n";
    for (const auto& one : all) {
        text += "\n" + (one.configuration.empty() ? std::string("As it is") : one.configuration) + ":\n";
        for (const auto& term : one.terms)
            text += "  " + term.kept->kind + (term.kept->channel.empty() ? "" : ", " + term.kept->channel) + ": " + term.says +
                    "\n    " + term.kept->id + ", " + term.state + " (until " + term.kept->valid_until + ")\n";
        for (const auto& at : one.forces)
            text += "  at " + figures_text(at.force_N, 4) + " N: ± " + figures_text(at.at_rest_U_N, 3) + " N at rest" +
                    (at.turning_U_N ? ", ± " + figures_text(*at.turning_U_N, 3) + " N turning at " +
                                          figures_text(one.speed_turns_per_s, 2) + " turns a second"
                                    : "") +
                    "\n";
        if (one.hidden_N > 0) text += "  up to " + figures_text(one.hidden_N, 2) + " N more may hide between two readings while turning\n";
        text += combined_text("Force at the highest force:", one.force) + combined_text("One turn, read from travel:", one.turn);
        for (const auto& what : one.missing) text += "  not in it: " + what + "\n";
        if (!one.all_valid) text += "  Not all of these certificates hold today.\n";
    }
    return text;
}

void run(const CalibrateStatementOptions& options) {
    check_paper_options(options.paper);
    record::Store store = record::Store::open(options.store.empty() ? record::default_store_path() : options.store, record::Mode::read);
    const std::string day = today_utc(), head = store.head();
    const auto kept = report::read_kept_certificates(store);
    const auto all = report::rig_accuracy(kept, options.rig, day, options.speed);
    if (all.empty())
        throw BadInput("no certificate is kept for the rig \"" + options.rig + "\"; `halfturn calibrate certificates` lists what is");
    write_papers(options.paper, report::accuracy_document(all, options.rig, day, head, options.paper.size()));
    if (options.json) return print(report::accuracy_json(all, options.rig, day, head) + "\n");
    print(calm_lines(statement_text(all, options, day)) + papers_written(options.paper) + "\nHead of the store: " + head + "\n");
}

}  // namespace

void add_calibrate_statement(CLI::App& calibrate) {
    CLI::App* command = add_subcommand(
        calibrate, "statement",
        "Say what a rig's numbers are worth, per configuration, from its newest certificates; a paper to hand over with the rig",
        [](CLI::App& statement) {
            auto options = std::make_shared<CalibrateStatementOptions>();
            statement.add_option("--for-rig", options->rig, "name of the rig")->required();
            statement
                .add_option("--speed", options->speed,
                            "turns of the screw a second (default: the fastest that the lag certificate allows)")
                ->check(CLI::Range(1e-6, 100.0));
            add_paper_options(statement, options->paper, "the statement");
            statement.add_option("--store", options->store, "store the certificates are kept in");
            statement.add_flag("--json", options->json, "print JSON");
            statement.callback([options] { run(*options); });
        });
    command->alias("accuracy");
}

}  // namespace halfturn::command
