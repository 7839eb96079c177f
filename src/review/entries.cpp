#include "review/entries.hpp"

#include <cmath>
#include <set>

#include "core/failure.hpp"
#include "core/json_writer.hpp"
#include "core/number_text.hpp"
#include "core/utf8.hpp"
#include "files/json_value.hpp"
#include "fit/bearings.hpp"

namespace halfturn::review {
namespace {

constexpr std::size_t most_text_bytes = 20'000;
constexpr double widest_bore_share = 0.05;  // off the ring's size, of it; more than any seat wears, common practice, no published source

bool blank(const std::string& text) { return text.find_first_not_of(" \t\r\n") == std::string::npos; }

void need_who(const std::string& who) {
    if (blank(who)) throw BadInput("who adds this is part of the record: give a name");
    if (who.size() > 200) throw BadInput("the name is longer than 200 bytes");
}

void need_short(const std::string& text) {
    if (text.size() > most_text_bytes)
        throw BadInput("the text has " + std::to_string(text.size()) + " bytes, and at most " + std::to_string(most_text_bytes) +
                       " are kept");
}

std::int64_t add(record::Store& store, const record::JobRow& job, std::string kind, const std::string& who, std::string json) {
    return store.add_entry({job.number, std::move(kind), who, job.item, job.seat, std::move(json)});
}

std::string only_text(const std::string& text) {
    return JsonWriter().object().put("text", std::string_view(as_utf8(text))).end().take();
}

// A slip of the keyboard, 280 for 28.0, would stand in the seat's history for good.
void need_plausible_bore(const record::JobRow& job, const Inspection& found) {
    if (!found.bore_mm || !(*found.bore_mm > 0)) return;
    double ring_mm = 0;
    try {
        ring_mm = fit::find_bearing(job.designation).D_mm;
    } catch (const BadInput&) {
        return;  // a bearing of no table
    }
    if (std::fabs(*found.bore_mm - ring_mm) > widest_bore_share * ring_mm)
        throw BadInput("the bore's size is " + number_text(*found.bore_mm) + " mm, but the seat of job " + std::to_string(job.number) +
                       " is for a ring of " + number_text(ring_mm) + " mm (" + job.designation + "): check the number");
}

std::int64_t keep(record::Store& store, record::Store::NewEntry entry, Inspection found, std::string_view photo) {
    need_who(entry.who);
    need_short(found.text);
    if (entry.item.empty() && entry.seat.empty() && !entry.job)
        throw BadInput("an inspection belongs to a job, or to an item and a seat: name one of the two");
    found.gauge = as_utf8(found.gauge);
    found.text = as_utf8(found.text);
    // Checked as if the photo were there, so that nothing is kept of an inspection that is refused.
    if (!photo.empty()) found.photo = "given";
    check_inspection(found);
    if (!photo.empty()) found.photo = store.add_photo(photo);
    entry.json = inspection_json(found);
    return store.add_entry(entry);
}

std::string text_of(const JsonValue& json, std::string_view key) {
    const JsonValue* found = json.find(key);
    return found != nullptr && found->kind() == JsonValue::Kind::text ? found->text() : std::string();
}

std::int64_t entry_taken_back(const record::EntryRow& row) {
    if (row.kind != "taken-back") return 0;
    const JsonValue json = JsonValue::parse(row.json, "entry " + std::to_string(row.id));
    return json.at("entry").integer();
}

std::string words_of(const record::EntryRow& row) {
    try {
        if (row.kind == "inspection") return inspection_words(inspection_from_json(row.json));
        const JsonValue json = JsonValue::parse(row.json, "the entry");
        std::string words = text_of(json, "text");
        if (row.kind == "taken-back") return "entry " + std::to_string(json.at("entry").integer()) + ": " + words;
        if (row.kind == "sign-off" && !text_of(json, "call").empty())
            return "as " + text_of(json, "call") + " (judge " + text_of(json, "judge") + ")" + (words.empty() ? "" : ": " + words);
        return words;
    } catch (const BadInput&) {
        return row.json;  // of a newer program, or altered: shown as it stands
    }
}

std::vector<Entry> in_words(const std::vector<record::EntryRow>& rows) {
    std::set<std::int64_t> gone;
    std::vector<Entry> entries;
    for (const record::EntryRow& row : rows) {
        entries.push_back({row, words_of(row), false});
        try {
            gone.insert(entry_taken_back(row));
        } catch (const BadInput&) {  // takes nothing back that could be named
        }
    }
    for (Entry& entry : entries) entry.taken_back = gone.count(entry.row.id) != 0;
    return entries;
}

}  // namespace

std::int64_t add_note(record::Store& store, const record::JobRow& job, const std::string& who, const std::string& text) {
    need_who(who);
    if (blank(text)) throw BadInput("a note needs a text");
    need_short(text);
    return add(store, job, "note", who, only_text(text));
}

std::int64_t add_sign_off(record::Store& store, const record::JobRow& job, const std::string& who, const std::string& text) {
    need_who(who);
    need_short(text);
    const auto judgements = record::read_judgements(store, job.number);
    if (job.state == record::JobState::running)
        throw BadInput("job " + std::to_string(job.number) + " still runs: sign it off when it has ended");
    if (judgements.empty())
        throw BadInput("job " + std::to_string(job.number) + " has no judgement to sign: `halfturn rejudge " +
                       std::to_string(job.number) + " --keep` makes one");
    const record::Judged& judged = judgements.back().judged;
    JsonWriter json;
    json.object().put("text", std::string_view(as_utf8(text))).put("call", std::string_view(judged.call));
    json.put("judge", std::string_view(judged.judge)).put("fingerprint", std::string_view(judged.fingerprint));
    json.put("head", "sha256:" + store.head());
    return add(store, job, "sign-off", who, json.end().take());
}

std::int64_t add_set_aside(record::Store& store, const record::JobRow& job, const std::string& who, const std::string& text) {
    need_who(who);
    if (blank(text)) throw BadInput("setting a job aside needs a reason");
    need_short(text);
    return add(store, job, "set-aside", who, only_text(text));
}

std::int64_t add_taken_back(record::Store& store, std::int64_t entry, const std::string& who, const std::string& text) {
    need_who(who);
    if (blank(text)) throw BadInput("taking an entry back needs a reason");
    need_short(text);
    const auto row = record::find_entry(store, entry);
    if (!row)
        throw BadInput("there is no entry " + std::to_string(entry) +
                       "; `halfturn review ID` shows a job's entries with their numbers");
    if (row->kind == "taken-back")
        throw BadInput("entry " + std::to_string(entry) + " takes another one back; to undo that, add the other one anew");
    const auto beside = row->job ? entries_of_job(store, *row->job) : entries_of_seat(store, row->item, row->seat);
    for (const Entry& other : beside)
        if (other.row.id == entry && other.taken_back) throw BadInput("entry " + std::to_string(entry) + " was taken back already");
    JsonWriter json;
    json.object().put("entry", entry).put("text", std::string_view(as_utf8(text)));
    return store.add_entry({row->job, "taken-back", who, row->item, row->seat, json.end().take()});
}

std::int64_t add_inspection(record::Store& store, const record::JobRow& job, const std::string& who, Inspection found,
                            std::string_view photo) {
    need_plausible_bore(job, found);
    return keep(store, {job.number, "inspection", who, job.item, job.seat, {}}, std::move(found), photo);
}

std::int64_t add_inspection(record::Store& store, const std::string& item, const std::string& seat, const std::string& who,
                            Inspection found, std::string_view photo) {
    return keep(store, {{}, "inspection", who, item, seat, {}}, std::move(found), photo);
}

std::vector<Entry> entries_of_job(record::Store& store, std::int64_t job) { return in_words(record::read_entries(store, job)); }

std::vector<Entry> entries_of_seat(record::Store& store, std::string_view item, std::string_view seat) {
    return in_words(record::read_entries_of_seat(store, item, seat));
}

}  // namespace halfturn::review
