#include "review/search/index_rows.hpp"

#include <set>

#include "core/failure.hpp"
#include "core/utf8.hpp"
#include "files/json_value.hpp"
#include "record/job_rows.hpp"
#include "review/entries.hpp"
#include "review/search/job_query.hpp"

namespace halfturn::review {
namespace {

using record::Statement;

// Texts of a job that somebody may look for, by where they come from.
struct Texts {
    std::string names, says, notes;
};

void add(std::string& text, std::string_view more) {
    if (more.empty()) return;
    if (!text.empty()) text += " \xC2\xB7 ";
    // Control characters mark what matched, and have no business in a sentence.
    for (const char c : as_utf8(more)) text += static_cast<unsigned char>(c) < ' ' ? ' ' : c;
}

struct JudgedTexts {
    std::string call;
    std::set<std::string> warnings;
};

// As far as it can be read: a judgement of a newer program is still a job to be found.
JudgedTexts read_judgement(record::Store& store, std::int64_t job, Texts& texts) {
    JudgedTexts judged;
    const auto rows = record::read_judgements(store, job);
    if (rows.empty()) return judged;
    judged.call = rows.back().judged.call;
    try {
        const JsonValue json = JsonValue::parse(rows.back().judged.json, "the judgement");
        if (const JsonValue* reasons = json.find("reasons"))
            for (const JsonValue& reason : reasons->items()) add(texts.says, reason.text());
        if (const JsonValue* warnings = json.find("warnings"))
            for (const JsonValue& warning : warnings->items()) {
                judged.warnings.insert(warning.at("id").text());
                add(texts.says, warning.at("id").text());
                add(texts.says, warning.at("says").text());
            }
    } catch (const BadInput&) {
    }
    return judged;
}

void add_operator_texts(record::Store& store, std::int64_t job, Texts& texts) {
    try {
        record::for_each_event(store, job, [&](const Event& event) {
            if (const auto* did = std::get_if<OperatorDid>(&event.what)) add(texts.notes, did->text);
            return true;
        });
    } catch (const Failure&) {  // verify names the block; the rest of the job is found all the same
    }
}

struct Standing {
    bool signed_off = false, set_aside = false;
};

void add_entries(const std::vector<Entry>& entries, Texts& texts, Standing& standing) {
    for (const Entry& entry : entries) {
        add(texts.notes, entry.row.kind + " by " + entry.row.who + ": " + entry.words);
        standing.signed_off = standing.signed_off || entry.stands_as("sign-off");
        standing.set_aside = standing.set_aside || entry.stands_as("set-aside");
    }
}

std::string found_says(record::Database& index, std::int64_t job) {
    Statement find(index, "SELECT says FROM findings WHERE job = ? ORDER BY id");
    find.bind(1, job);
    std::string text;
    while (find.row()) add(text, find.text(0));
    return text;
}

void put_texts(record::Database& index, std::int64_t job, const Texts& texts, const std::string& seen) {
    Statement gone(index, "DELETE FROM texts WHERE rowid = ?");
    gone.bind(1, job).run();
    Statement put(index, "INSERT INTO texts (rowid, names, says, notes, seen) VALUES (?, ?, ?, ?, ?)");
    put.bind(1, job).bind(2, std::string_view(texts.names)).bind(3, std::string_view(texts.says));
    put.bind(4, std::string_view(texts.notes)).bind(5, std::string_view(seen)).run();
}

void put_job(record::Database& index, record::Store& store, const record::JobRow& job) {
    Texts texts;
    const std::string bearing = one_bearing_name(job.designation);
    for (const std::string& name : {job.item, job.seat, job.set, job.who, job.designation, bearing, job.rig, job.job_id})
        add(texts.names, name);
    const JudgedTexts judged = read_judgement(store, job.number, texts);
    add(texts.says, job.ending);
    Standing standing;
    add_operator_texts(store, job.number, texts);
    add_entries(entries_of_job(store, job.number), texts, standing);
    if (!job.item.empty()) {
        std::vector<Entry> of_seat = entries_of_seat(store, job.item, job.seat);
        std::erase_if(of_seat, [](const Entry& entry) { return entry.row.job.has_value(); });
        add_entries(of_seat, texts, standing);
    }
    Statement put(index,
                  "INSERT INTO jobs (number, started_utc_ms, over, call, item, seat, set_name, who, bearing, rig, signed_off, set_aside, work, looked_at) "
                  "VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13, 0) ON CONFLICT (number) DO UPDATE SET "
                  "over = ?3, call = ?4, signed_off = ?11, set_aside = ?12");
    put.bind(1, job.number).bind(2, job.started_utc_ms).bind(3, std::int64_t{job.state != record::JobState::running});
    put.bind(4, std::string_view(judged.call)).bind(5, std::string_view(job.item)).bind(6, std::string_view(job.seat));
    put.bind(7, std::string_view(job.set)).bind(8, std::string_view(job.who)).bind(9, std::string_view(bearing));
    put.bind(10, std::string_view(job.rig)).bind(11, std::int64_t{standing.signed_off}).bind(12, std::int64_t{standing.set_aside});
    put.bind(13, work_name(job.work)).run();
    Statement(index, "DELETE FROM warnings WHERE job = ?").bind(1, job.number).run();
    Statement warn(index, "INSERT INTO warnings (id, job) VALUES (?, ?)");
    for (const std::string& id : judged.warnings) warn.bind(1, std::string_view(id)).bind(2, job.number).run();
    put_texts(index, job.number, texts, found_says(index, job.number));
}

}  // namespace

void put_jobs(record::Database& index, record::Store& store, const std::vector<std::int64_t>& numbers) {
    for (const record::JobRow& job : record::read_jobs(store, numbers)) put_job(index, store, job);
}

void put_look(record::Database& index, record::Store& store, std::int64_t number, const Look& look) {
    Statement(index, "DELETE FROM findings WHERE job = ?").bind(1, number).run();
    Statement put(index, "INSERT OR REPLACE INTO findings (id, job, says) VALUES (?, ?, ?)");
    for (const FindingSeen& seen : look.findings)
        put.bind(1, std::string_view(seen.id)).bind(2, number).bind(3, std::string_view(seen.says)).run();
    const std::string features = features_bytes(look.features);
    Statement(index, "INSERT OR REPLACE INTO features (job, features) VALUES (?, ?)").bind(1, number).bind_blob(2, features).run();
    Statement(index, "UPDATE jobs SET looked_at = 1 WHERE number = ?").bind(1, number).run();
    put_jobs(index, store, {number});
}

}  // namespace halfturn::review
