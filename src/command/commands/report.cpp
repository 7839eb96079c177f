// halfturn report ID…: one job's report, or that of a set of jobs, as PDF and as an HTML file that stands alone.
#include <algorithm>
#include <memory>
#include <string>
#include <vector>

#include "command/command.hpp"
#include "command/paper_file.hpp"
#include "command/seat_of_job.hpp"
#include "command/store_option.hpp"
#include "core/failure.hpp"
#include "core/json_writer.hpp"
#include "report/job_report.hpp"

namespace halfturn::command {
namespace {

struct ReportOptions {
    std::string store, set;
    std::vector<std::string> ids;
    PaperOptions paper;
    bool json = false;
};

std::vector<record::JobRow> jobs_wanted(record::Store& store, const ReportOptions& options) {
    std::vector<record::JobRow> jobs;
    for (const std::string& id : options.ids) {
        record::JobRow job = record::find_job(store, id);
        const auto same = [&](const record::JobRow& other) { return other.number == job.number; };
        if (std::none_of(jobs.begin(), jobs.end(), same)) jobs.push_back(std::move(job));
    }
    if (options.set.empty()) return jobs;
    record::JobFilter filter;
    filter.set = options.set;
    jobs = record::list_jobs(store, filter);
    std::reverse(jobs.begin(), jobs.end());
    if (jobs.empty()) throw BadInput("no job belongs to the set \"" + options.set + "\"; `halfturn review` lists the jobs");
    return jobs;
}

void run(const ReportOptions& options) {
    if (options.ids.empty() == options.set.empty())
        throw BadInput("which jobs? give their numbers, as `halfturn review` lists them, or the name of their set with --set");
    if (options.paper.pdf.empty() && options.paper.html.empty()) throw BadInput("where to? give --pdf FILE or --html FILE, or both");
    check_paper_options(options.paper);
    record::Store store = open_store(options.store, record::Mode::read);
    report::JobsReport whole(options.paper.size(), options.set);
    JsonWriter json;
    json.object().key("jobs").array();
    std::string text;
    std::size_t written = 0;
    const auto leave_out = [&](const record::JobRow& job, const std::string& why) {
        whole.leave_out(job, why);
        json.object().put("number", job.number).put("job", std::string_view(job.job_id)).put("left_out", std::string_view(why)).end();
        text += "Job " + std::to_string(job.number) + " is left out: " + why + "\n";
    };
    for (const record::JobRow& job : jobs_wanted(store, options)) {
        if (job.state == record::JobState::running) {
            leave_out(job, "it still runs");
            continue;
        }
        try {
            report::JobFacts facts = report::job_facts(store, job);
            facts.seat = seat_of_job(store, job, facts.judged, facts.samples);
            whole.add(facts);
            ++written;
            json.object()
                .put("number", job.number)
                .put("job", std::string_view(job.job_id))
                .put("call", call_id(facts.judged.now.call))
                .end();
        } catch (const std::exception& error) {
            if (options.ids.size() == 1) throw;
            leave_out(job, error.what());  // the others are no worse for it
        }
    }
    if (written == 0) throw BadInput("none of these jobs can be reported yet:\n" + text);
    const sheet::Document document = whole.document();
    write_papers(options.paper, document);
    json.end().put("pdf", std::string_view(options.paper.pdf)).put("html", std::string_view(options.paper.html));
    json.put("head", "sha256:" + store.head()).end();
    print(options.json ? json.take() + "\n" : text + papers_written(options.paper));
}

void add_report(CLI::App* command, Status&) {
    auto options = std::make_shared<ReportOptions>();
    command->add_option("id", options->ids, "The jobs' numbers or ids");
    command->add_option("--set", options->set, "All jobs of this set");
    add_paper_options(*command, options->paper, "the report");
    add_store_option(*command, options->store);
    command->add_flag("--json", options->json, "Say what was written as JSON");
    command->footer("The exit status is 0 when the report was written, whatever the jobs' calls are.");
    command->callback([options] { run(*options); });
}

}  // namespace

extern const Command command_report;
const Command command_report{"report", "The report of one job or of several, as PDF and as an HTML file that stands alone", add_report};

}  // namespace halfturn::command
