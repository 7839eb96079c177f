#include "command/page_record.hpp"

#include <algorithm>

#include "core/failure.hpp"
#include "core/json_writer.hpp"
#include "core/set_up.hpp"
#include "record/reader.hpp"
#include "review/entries.hpp"
#include "screen/found_upload.hpp"
#include "screen/job_form.hpp"
#include "screen/set_order.hpp"

namespace halfturn::command {
namespace {

// Of the newest inspection that still holds; empty when nothing was decided.
std::string decision_on(record::Store& store, std::int64_t job) {
    std::string decision;
    for (const review::Entry& entry : review::entries_of_job(store, job)) {
        if (!entry.stands_as("inspection")) continue;
        if (const auto decided = review::inspection_from_json(entry.row.json).decision) decision = review::decision_name(*decided);
    }
    return decision;
}

std::string text_in(const JsonValue& form, std::string_view key) {
    const JsonValue* value = form.find(key);
    return value ? screen::trimmed(value->text()) : std::string();
}

}  // namespace

screen::Answer keep_found(const std::string& store_path, const screen::Question& question) {
    if (!question.post) return {405, "text/plain; charset=utf-8", "What was found is sent, not asked for.\n"};
    const screen::FoundUpload told = screen::read_found_upload(question.body);
    record::Store store = record::Store::open(store_path, record::Mode::add_to);
    const std::int64_t entry = review::add_inspection(store, record::find_job(store, told.job), told.who, told.found, told.photo);
    std::string words;
    for (const review::Entry& one : review::entries_of_job(store, record::find_job(store, told.job).number))
        if (one.row.id == entry) words = one.words;
    return {200, "application/json", JsonWriter().object().put("entry", entry).put("words", words).end().take()};
}

screen::Answer set_so_far(const std::string& store_path, const JsonValue& form) {
    const std::string set = text_in(form, "set"), work = text_in(form, "work");
    std::vector<screen::SetSeat> done;
    JsonWriter json;
    json.object().put("set", set).put("of", static_cast<std::int64_t>(screen::seats_in_order(form).size())).key("jobs").array();
    if (!set.empty()) {
        record::Store store = record::Store::open(store_path, record::Mode::read);
        record::JobFilter filter;
        filter.set = set;
        std::vector<record::JobRow> jobs = record::list_jobs(store, filter);
        std::reverse(jobs.begin(), jobs.end());
        for (const record::JobRow& job : jobs) {
            if (job.practice || job.call.empty()) continue;   // a job that was not started is none
            if (work_name(job.work) == work) done.push_back({job.item, job.seat});
            json.object().put("number", job.number).put("item", job.item).put("seat", job.seat).put("work", work_name(job.work));
            json.put("call", job.call).put("decision", decision_on(store, job.number)).end();
        }
    }
    json.end().key("next");
    if (const auto next = screen::next_form_of_set(form, done); next && !set.empty()) json.raw(*next);
    else json.null();
    return {200, "application/json", json.end().take()};
}

}  // namespace halfturn::command
