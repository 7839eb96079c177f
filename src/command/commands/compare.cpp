// halfturn compare ID ID…: recorded jobs laid over one another; with one ID, the jobs most like it.
#include <memory>
#include <string>
#include <vector>

#include "command/command.hpp"
#include "command/review_text.hpp"
#include "command/store_option.hpp"
#include "core/json_writer.hpp"
#include "core/number_text.hpp"
#include "review/comparison_text.hpp"
#include "review/recorded_curve.hpp"
#include "review/search/job_index.hpp"

namespace halfturn::command {
namespace {

struct CompareOptions {
    std::string store, align = "contact";
    std::vector<std::string> ids;
    std::size_t most = 10;
    bool json = false;
};

void compare_jobs(record::Store& store, const CompareOptions& options) {
    std::vector<review::PullCurve> curves;
    std::vector<record::JobRow> jobs;
    for (const std::string& id : options.ids) {
        jobs.push_back(record::find_job(store, id));
        curves.push_back(review::recorded_curve(store, jobs.back()));
    }
    const review::Comparison comparison = review::compare(curves, *review::align_from_name(options.align));
    if (!options.json) return print(review::comparison_text(comparison));
    print(compared_json(comparison, jobs) + "\n");
}

void list_like(record::Store& store, const CompareOptions& options) {
    const record::JobRow job = record::find_job(store, options.ids.front());
    review::JobIndex index = review::JobIndex::beside(store);
    make_ready(index, store, true);
    const LikeJobs like = jobs_like(index, store, job.number, options.most);
    print(options.json ? like_json(like) + "\n" : like_text(like));
}

void add_compare(CLI::App* command, Status&) {
    auto options = std::make_shared<CompareOptions>();
    command
        ->add_option("ids", options->ids,
                     "Two to twelve jobs, by number or id, the first being what the others are compared with; one alone: find "
                     "those most like it")
        ->required();
    add_store_option(*command, options->store);
    command->add_option("--align", options->align, "Lay the curves together at contact or at release")
        ->check(CLI::IsMember({"contact", "release"}));
    command->add_option("--most", options->most, "With one job: list so many that are like it")->check(CLI::Range(1, 1000));
    command->add_flag("--json", options->json, "Print JSON");
    command->callback([options] {
        record::Store store = open_store(options->store, record::Mode::read);
        if (options->ids.size() == 1) list_like(store, *options);
        else compare_jobs(store, *options);
    });
}

}  // namespace

extern const Command command_compare;
const Command command_compare{"compare", "Lay recorded jobs over one another, or find those most like one", add_compare};

}  // namespace halfturn::command
