// halfturn review: the recorded jobs; review ID: one of them, with its curve, its call and why.
#include <memory>
#include <string>
#include <vector>

#include "command/command.hpp"
#include "command/job_text.hpp"
#include "command/review_text.hpp"
#include "command/seat_of_job.hpp"
#include "command/store_option.hpp"
#include "command/summary.hpp"
#include "core/failure.hpp"
#include "core/json_writer.hpp"
#include "core/number_text.hpp"
#include "core/utf8.hpp"
#include "record/rejudge.hpp"
#include "record/wall_clock.hpp"
#include "review/thinned_samples.hpp"
#include "watch/judgement_json.hpp"

namespace halfturn::command {
namespace {

struct Options {
    std::string store, id, item, seat, set;
    std::size_t most = 0;
    bool json = false;
};

std::string act_text(const OperatorDid& did) {
    static constexpr std::string_view words[] = {"begins",     "zero, stack loose", "acknowledges the stop", "silences the sound",
                                                 "one flat made", "ends the job",   "note",                  "step skipped"};
    return std::string(words[static_cast<std::size_t>(did.act)]) + (did.text.empty() ? "" : ": " + did.text);
}

// The events worth a line: all but bytes and ticks.
std::string happened(const Event& event, const SetUp& set_up) {
    const auto port_name = [&](std::uint16_t port) { return port < set_up.ports.size() ? set_up.ports[port].name : "?"; };
    if (const auto* change = std::get_if<PortChanged>(&event.what)) {
        static constexpr std::string_view words[] = {"opened", "lost", "closed"};
        return "port " + port_name(change->port) + " " + std::string(words[static_cast<std::size_t>(change->state)]) +
               (change->detail.empty() ? "" : ": " + change->detail);
    }
    if (const auto* did = std::get_if<OperatorDid>(&event.what)) return "operator: " + act_text(*did);
    if (const auto* state = std::get_if<RecorderState>(&event.what)) {
        static constexpr std::string_view words[] = {"on", "late", "stopped"};
        return "recording " + std::string(words[static_cast<std::size_t>(state->state)]) + (state->detail.empty() ? "" : ": " + state->detail);
    }
    if (const auto* slept = std::get_if<Suspended>(&event.what)) return "the computer slept for " + fixed_text(seconds(slept->asleep), 1) + " s";
    if (const auto* counted = std::get_if<LineErrorsCounted>(&event.what)) return "port " + port_name(counted->port) + ": " + line_errors_text(counted->more);
    return {};
}

std::string seconds_cell(Instant at) {
    std::string text = fixed_text(seconds(at), 2);
    text.insert(0, text.size() < 9 ? 9 - text.size() : 0, ' ');
    return text + " s  ";
}

std::string head_text(const record::JobRow& job) {
    std::string text = "Job " + std::to_string(job.number) + " (" + job.job_id + "), " + record::utc_text(job.started_utc_ms) +
                       (!job.clock_synchronised ? " (not known whether the clock was synchronised)" : *job.clock_synchronised ? "" : " (clock not synchronised)") + "\n";
    const auto line = [&](const char* label, const std::string& value) {
        if (!value.empty()) text += cell(label, 10) + cell(value, 66).substr(0, 300) + "\n";
    };
    line("work", std::string("bearing ") + (job.work == Work::out ? "out" : "in") + (job.designation.empty() ? "" : ", " + job.designation));
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

// What the kernel counted on each line in the whole job; lines without errors, and those that are not counted, are left out.
void put_line_errors(JsonWriter& json, record::Store& store, const record::JobRow& job, const SetUp& set_up) {
    std::vector<LineErrors> sums(set_up.ports.size());
    record::for_each_event(store, job.number, [&](const Event& event) {
        if (const auto* counted = std::get_if<LineErrorsCounted>(&event.what); counted && counted->port < sums.size()) sums[counted->port] += counted->more;
        return true;
    });
    json.key("line_errors").array();
    for (std::size_t i = 0; i < sums.size(); ++i) {
        if (sums[i] == LineErrors{}) continue;
        json.object().put("port", std::string_view(set_up.ports[i].name));
        for (const auto& [name, count] : line_error_counts(sums[i])) json.put(name, static_cast<std::int64_t>(count));
        json.end();
    }
    json.end();
}

void review_one(record::Store& store, const Options& options, Status& status) {
    const record::JobRow job = record::find_job(store, options.id);
    review::ThinnedSamples kept;
    const record::Rejudged again = record::judge_again(store, job, [&](const Sample& sample) { kept.add(sample); });
    const std::vector<Sample> samples = kept.take();
    status.code = call_exit_status(again.now.call);
    const review::SeatReview seat = seat_of_job(store, job, again, samples);
    if (options.json) {
        // The judgement of this version that is on record; of these bytes now, where there is none.
        std::string judged = judgement_json(again.now, again.set_up, job.job_id);
        for (const record::JudgedRow& row : again.before)
            if (row.judged.judge == again.now.judge && !row.judged.json.empty()) judged = row.judged.json;
        JsonWriter more;
        more.object().key("record");
        write_job_row(more, job);
        more.put("agreement", record::agreement_name(again.agreement)).put("head", "sha256:" + store.head());
        put_entries(more, store, job);
        put_line_errors(more, store, job, again.set_up);
        review::write_seat_review(more, seat);
        more.end();
        print(joined_objects(judged, more.take()) + "\n");
        return;
    }
    std::vector<CurveSample> curve;
    const bool turns = !samples.empty() && samples.back().screw_known;
    for (const Sample& sample : samples)
        if (sample.screw_known && sample.force_known) curve.push_back({sample.turns - again.now.contact_turns.value_or(0), sample.force_N});
    std::string text = head_text(job) + judgement_text(again);
    if (turns) text += "\n" + plot_measured(again.set_up.curve, curve);
    text += "\n" + review::seat_review_text(seat) + "\n";
    record::for_each_event(store, job.number, [&](const Event& event) {
        const std::string line = happened(event, again.set_up);
        if (!line.empty()) text += seconds_cell(event.at) + cell(line, line.size()) + "\n";
        return true;
    });
    text += entries_text(store, job) + seat_text(store, job.item, job.seat, job.number);
    text += "\nFingerprint " + again.now.fingerprint + " (judge " + again.now.judge + ")\nHead of the store " + store.head() + "\n";
    print(text);
}

void review_all(record::Store& store, const Options& options) {
    record::JobFilter filter;
    filter.item = options.item;
    filter.seat = options.seat;
    filter.set = options.set;
    filter.most = options.most;
    const std::vector<record::JobRow> jobs = record::list_jobs(store, filter);
    const bool one_seat = !options.item.empty() && !options.seat.empty();
    if (!options.json)
        return print(list_text(jobs, store.path()) + (one_seat ? seat_text(store, options.item, options.seat, 0) : ""));
    JsonWriter json;
    json.object().put("store", std::string_view(store.path())).put("head", "sha256:" + store.head()).key("jobs").array();
    for (const record::JobRow& job : jobs) write_job_row(json, job);
    print(json.end().end().take() + "\n");
}

}  // namespace

void add_review(CLI::App& app, Status& status) {
    auto options = std::make_shared<Options>();
    auto* command = app.add_subcommand("review", "List the recorded jobs, or show one: its call and why, and what its curve says about the seat");
    command->add_option("id", options->id, "The job's number or id; without it, all jobs are listed");
    add_store_option(*command, options->store);
    command->add_option("--item", options->item, "List only jobs on this item");
    command->add_option("--seat", options->seat, "List only jobs on this seat");
    command->add_option("--set", options->set, "List only jobs of this set");
    command->add_option("--most", options->most, "List at most so many, the newest");
    command->add_flag("--json", options->json, "Print JSON");
    command->footer("The exit status is that of the job's call: 0 nothing unusual, 10 look closer, 20 stop and inspect, 30 can't tell; a list\n"
                    "exits with 0.");
    command->callback([options, &status] {
        record::Store store = open_store(options->store, record::Mode::read);
        if (options->id.empty()) review_all(store, *options);
        else review_one(store, *options, status);
    });
}

}  // namespace halfturn::command
