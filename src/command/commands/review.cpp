// halfturn review: the recorded jobs; review ID: one of them, with its curve, its call and why.
#include <map>
#include <memory>
#include <string>
#include <vector>

#include "command/command.hpp"
#include "command/job_text.hpp"
#include "command/review_text.hpp"
#include "command/reviewed_job.hpp"
#include "command/store_option.hpp"
#include "command/summary.hpp"
#include "core/number_text.hpp"
#include "core/utf8.hpp"
#include "record/sqlite.hpp"
#include "record/wall_clock.hpp"

namespace halfturn::command {
namespace {

struct ReviewOptions {
    std::string store, id;
    std::map<std::string, std::vector<std::string>> fields;  // of the query, by name
    std::size_t most = 0;
    bool json = false;
};

std::string seconds_cell(Instant at) {
    std::string text = fixed_text(seconds(at), 2);
    text.insert(0, text.size() < 9 ? 9 - text.size() : 0, ' ');
    return text + " s  ";
}

std::string head_text(const record::JobRow& job) {
    std::string text = "Job " + std::to_string(job.number) + " (" + job.job_id + "), " + record::utc_text(job.started_utc_ms) +
                       (!job.clock_synchronised   ? " (not known whether the clock was synchronised)"
                        : *job.clock_synchronised ? ""
                                                  : " (clock not synchronised)") +
                       "\n";
    const auto line = [&](const char* label, const std::string& value) {
        if (!value.empty()) text += cell(label, 10) + cell(value, 66).substr(0, 300) + "\n";
    };
    line("work", std::string("bearing ") + (job.work == Work::out ? "out" : "in") +
                     (job.designation.empty() ? "" : ", " + job.designation));
    line("item", job.item + (job.seat.empty() ? "" : ", seat " + job.seat) + (job.set.empty() ? "" : ", set " + job.set));
    line("by", job.who);
    line("rig", job.rig + (job.practice ? " (practice)" : "") + (job.origin == record::Origin::log ? " (from a log)" : ""));
    line("record", std::string(record::state_name(job.state)) + ", " + fixed_text(job.length_s, 1) + " s, " +
                       std::to_string(job.events) + " events");
    if (!job.ending.empty()) text += cell("ending", 10) + job.ending + "\n";
    std::string trimmed;
    for (std::size_t at = 0; at < text.size();) {
        const std::size_t end = text.find('\n', at);
        std::string one = text.substr(at, end - at);
        while (!one.empty() && one.back() == ' ') one.pop_back();
        trimmed += one + "\n";
        at = end + 1;
    }
    return trimmed;
}

std::string judgement_text(const record::Rejudged& again) {
    std::string text = "\n" + summary_text(again.now, again.set_up);
    if (again.now.warnings.empty())
        for (const std::string& reason : again.now.reasons) text += wrapped("  - " + reason, 80, "    ");
    for (const std::string& what : again.now.cannot_judge) text += wrapped("These instruments can't tell " + what, 80, "    ");
    for (const record::JudgedRow& row : again.before) {
        const JudgedBefore before = describe(row);
        if (before.judge != again.now.judge)
            text += wrapped("Judge " + before.judge + " called it: " + before.call + reasons_text(before.reasons), 80, "    ");
    }
    if (again.agreement == record::Agreement::differs)
        text += "The stored judgement has another fingerprint than its events give now: see halfturn\nverify and halfturn rejudge.\n";
    return text;
}

void review_one(record::Store& store, const ReviewOptions& options, Status& status) {
    const ReviewedJob reviewed = review_job(store, options.id);
    const auto& [job, again, samples, seat] = reviewed;
    status.code = call_exit_status(again.now.call);
    if (options.json) return print(reviewed_json(store, reviewed, false) + "\n");
    std::vector<CurveSample> curve;
    const bool turns = !samples.empty() && samples.back().screw_known;
    for (const Sample& sample : samples)
        if (sample.screw_known && sample.force_known) curve.push_back({sample.turns - again.now.contact_turns.value_or(0), sample.force_N});
    std::string text = head_text(job) + judgement_text(again);
    if (turns) text += "\n" + plot_measured(again.set_up.curve, curve);
    text += "\n" + review::seat_review_text(seat) + "\n";
    record::for_each_event(store, job.number, [&](const Event& event) {
        const std::string line = happened(event, reviewed.judged.set_up);
        if (!line.empty()) text += seconds_cell(event.at) + cell(line, line.size()) + "\n";
        return true;
    });
    text += entries_text(store, job) + seat_text(store, job.item, job.seat, job.number);
    text += "\nFingerprint " + again.now.fingerprint + " (judge " + again.now.judge + ")\nHead of the store " + store.head() + "\n";
    print(text);
}

review::Hits search(record::Store& store, const review::JobQuery& query) {
    review::JobIndex index = review::JobIndex::beside(store);
    make_ready(index, store, !query.findings.empty());
    return index.find(query);
}

void review_all(record::Store& store, const ReviewOptions& options) {
    review::JobQuery query;
    bool narrowed = false;
    for (const auto& [field, values] : options.fields)
        for (const std::string& value : values) {
            review::narrow(query, field, value);
            narrowed = true;
        }
    query.most = options.most;
    review::check_query(query);
    // Only the JSON says of every job what else the index knows.
    const bool ask_index = narrowed || options.json;
    review::Hits hits;
    if (ask_index) hits = search(store, query);
    const record::OneMoment moment(store.database());
    if (!ask_index) hits = review::newest_jobs(store, options.most);
    const std::vector<review::ListedJob> jobs = review::read_hits(store, hits);
    if (options.json) return print(list_json(jobs, hits, store) + "\n");
    const bool one_seat = query.items.size() == 1 && query.seats.size() == 1;
    print(list_text(jobs, hits, store.path()) + (one_seat ? seat_text(store, query.items[0], query.seats[0], 0) : ""));
}

void add_review(CLI::App* command, Status& status) {
    auto options = std::make_shared<ReviewOptions>();
    command->add_option("id", options->id, "The job's number or id; without it, all jobs are listed");
    add_store_option(*command, options->store);
    for (const review::QueryField& field : review::query_fields())
        command->add_option(std::string("--") + field.name, options->fields[field.name], field.help)->take_all()->allow_extra_args(false);
    command->add_option("--most", options->most, "List at most so many, the newest");
    command->add_flag("--json", options->json, "Print JSON");
    command->footer(
        "The exit status is that of the job's call: 0 nothing unusual, 10 look closer, 20 stop and inspect, 30 can't tell;\n"
        "a list exits with 0.");
    command->callback([options, &status] {
        record::Store store = open_store(options->store, record::Mode::read);
        if (options->id.empty()) review_all(store, *options);
        else review_one(store, *options, status);
    });
}

}  // namespace

extern const Command command_review;
const Command command_review{
    "review", "List the recorded jobs, or show one: its call and why, and what its curve says about the seat", add_review};

}  // namespace halfturn::command
