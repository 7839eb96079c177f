// halfturn rejudge ID|all: judges recorded jobs again from their stored bytes and compares.
#include <algorithm>
#include <memory>
#include <string>
#include <vector>

#include "command/command.hpp"
#include "command/job_text.hpp"
#include "command/store_option.hpp"
#include "command/summary.hpp"
#include "core/failure.hpp"
#include "core/json_writer.hpp"
#include "record/rejudge.hpp"
#include "record/sample_store.hpp"
#include "watch/judgement_json.hpp"

namespace halfturn::command {
namespace {

struct RejudgeOptions {
    std::string store, id;
    bool json = false, keep = false, samples = false;
};

// What other versions of the judge called it otherwise, oldest first.
std::vector<JudgedBefore> other_calls(const record::Rejudged& again) {
    std::vector<JudgedBefore> others;
    for (const record::JudgedRow& row : again.before)
        if (row.judged.judge != again.now.judge && row.judged.call != call_id(again.now.call)) others.push_back(describe(row));
    return others;
}

std::string as_json(const record::JobRow& job, const record::Rejudged& again) {
    JsonWriter more;
    more.object().put("agreement", record::agreement_name(again.agreement)).put("call_changed", !other_calls(again).empty());
    more.key("before").array();
    for (const record::JudgedRow& row : again.before) {
        const JudgedBefore by = describe(row);
        more.object().put("judge", std::string_view(row.judged.judge)).put("call", std::string_view(row.judged.call))
            .put("fingerprint", std::string_view(row.judged.fingerprint)).key("reasons").array();
        for (const std::string& reason : by.reasons) more.text(reason);
        more.end().end();
    }
    more.end().end();
    return joined_objects(judgement_json(again.now, again.set_up, job.job_id), more.take());
}

std::string judged_line(const JudgedBefore& by) {
    return wrapped("    judge " + by.judge + ": " + by.call + reasons_text(by.reasons), 80, "      ");
}

// Which calls changed and why: what each version said.
std::string change_text(const record::JobRow& job, const record::Rejudged& again) {
    const auto others = other_calls(again);
    if (others.empty()) return {};
    std::string text = "  job " + std::to_string(job.number) +
                       (job.item.empty() ? "" : ", " + job.item + (job.seat.empty() ? "" : ", " + job.seat)) + "\n";
    for (const JudgedBefore& other : others) text += judged_line(other);
    return text + judged_line({again.now.judge, std::string(call_words(again.now.call)), again.now.reasons});
}

std::string as_text(const record::JobRow& job, const record::Rejudged& again) {
    std::string text = "job " + std::to_string(job.number) + "  " + std::string(call_words(again.now.call)) + "  ";
    const bool changed = !other_calls(again).empty();
    switch (again.agreement) {
        case record::Agreement::same: text += changed ? "same fingerprint; call changed since an older judge" : "same fingerprint"; break;
        case record::Agreement::differs: text += "DIFFERS: this version of the judge gave another fingerprint before"; break;
        case record::Agreement::new_version: text += changed ? "call changed" : "same call"; break;
        case record::Agreement::first: text += "judged for the first time"; break;
    }
    text += "\n";
    if (again.agreement == record::Agreement::differs) {
        text += judged_line(describe(again.before.back())) +
                judged_line({again.now.judge, std::string(call_words(again.now.call)), again.now.reasons});
        text += "    before " + again.before.back().judged.fingerprint + "\n    now    " + again.now.fingerprint + "\n";
    }
    return text;
}

void add_rejudge(CLI::App* command, Status& status) {
    auto options = std::make_shared<RejudgeOptions>();
    command->add_option("id", options->id, "The job's number or id, or: all")->required();
    add_store_option(*command, options->store);
    command->add_flag("--keep", options->keep, "Store the new judgement beside the older ones");
    command->add_flag("--samples", options->samples, "Make the job's compact samples anew from its events");
    command->add_flag("--json", options->json, "Print the judged job as JSON; with all, a list of them");
    command->footer(
        "The exit status is that of the worst call, as judge gives it, or 1 when a job's fingerprint differs from the one\n"
        "that the same version of the judge gave it before, or a job can't be judged. --keep also makes the compact samples\n"
        "of a job that has none: one that was cut off, or was recorded by an older halfturn.");
    command->callback([options, &status] {
        record::Store store = open_store(options->store, options->keep || options->samples ? record::Mode::add_to : record::Mode::read);
        const bool all = options->id == "all";
        std::vector<record::JobRow> jobs;
        if (all) {
            jobs = record::list_jobs(store);
            jobs = {jobs.rbegin(), jobs.rend()};
        } else jobs.push_back(record::find_job(store, options->id));
        Call worst = Call::nothing_unusual;
        std::size_t same = 0, different = 0, changed = 0, unreadable = 0;
        std::string out, changes;
        for (const record::JobRow& job : jobs) {
            try {
                const record::Rejudged again = record::judge_again(store, job);
                worst = std::max(worst, again.now.call);
                same += again.agreement == record::Agreement::same;
                different += again.agreement == record::Agreement::differs;
                changed += !other_calls(again).empty();
                if (options->keep && job.state != record::JobState::running)
                    store.add_judgement(job.number, {again.now.judge, std::string(call_id(again.now.call)), again.now.fingerprint,
                                                     judgement_json(again.now, again.set_up, job.job_id)});
                if (job.state != record::JobState::running &&
                    (options->samples || (options->keep && !record::has_samples(store, job.number))))
                    record::make_samples(store, job);
                if (options->json) out += (out.empty() ? "" : ",\n") + as_json(job, again);
                else out += as_text(job, again), changes += change_text(job, again);
            } catch (const std::exception& error) {
                if (!all) throw;
                ++unreadable;  // the others are still judged
                if (options->json)
                    out += (out.empty() ? "" : ",\n") +
                           JsonWriter().object().put("job", std::string_view(job.job_id)).put("error", error.what()).end().take();
                else out += "job " + std::to_string(job.number) + "  CAN'T BE JUDGED: " + error.what() + "\n";
            }
        }
        if (options->json) out = all ? "[" + out + "]\n" : out + "\n";
        else {
            if (!changes.empty()) out += "\nCalls that changed, and why\n" + changes + "\n";
            if (all) out += std::to_string(jobs.size()) + " jobs: " + std::to_string(same) + " same, " + std::to_string(different) +
                   " different, " + std::to_string(changed) + " with another call by another judge, " +
                   std::to_string(unreadable) + " that can't be judged\n";
        }
        print(out);
        status.code = different + unreadable == 0 ? call_exit_status(worst) : 1;
    });
}

}  // namespace

extern const Command command_rejudge;
const Command command_rejudge{"rejudge", "Judge recorded jobs again from their stored bytes and compare", add_rejudge};

}  // namespace halfturn::command
