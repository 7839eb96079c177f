#include "command/review_text.hpp"

#include <algorithm>
#include <cstdio>
#include <map>

#include "command/summary.hpp"
#include "core/calm_text.hpp"
#include "core/number_text.hpp"
#include "core/utf8.hpp"
#include "record/wall_clock.hpp"
#include "review/comparison_text.hpp"
#include "review/seat_history.hpp"

namespace halfturn::command {
namespace {

std::string call_or_dash(const std::string& id) { return id.empty() ? "-" : call_in_words(id); }

std::string right(const std::string& text, std::size_t width) {
    return std::string(text.size() < width ? width - text.size() : 0, ' ') + text;
}

std::string whole_cell(const std::string& text) { return cell(text, text.size()); }

void write_entry(JsonWriter& json, const review::Entry& entry) {
    json.object().put("entry", entry.row.id).put("made", record::utc_text(entry.row.made_utc_ms)).key("job");
    if (entry.row.job) json.integer(*entry.row.job);
    else json.null();
    json.put("kind", std::string_view(entry.row.kind)).put("who", std::string_view(entry.row.who));
    json.put("says", std::string_view(entry.words)).put("taken_back", entry.taken_back);
    json.put("content", std::string_view(entry.row.json)).end();
}

std::string entry_line(const review::Entry& entry) {
    std::string line = right(std::to_string(entry.row.id), 5) + "  " + record::utc_text(entry.row.made_utc_ms).substr(0, 16) + "  " +
                       entry.row.kind + " by " + whole_cell(entry.row.who) + (entry.taken_back ? " (taken back)" : "") + ": " +
                       whole_cell(entry.words);
    while (line.back() == ' ') line.pop_back();
    return wrapped(line, 80, "       ");
}

void write_texts(JsonWriter& json, const char* key, const std::vector<std::string>& texts) {
    json.key(key).array();
    for (const std::string& text : texts) json.text(text);
    json.end();
}

// The passage in pieces, every second one of them what matched.
void write_hit(JsonWriter& json, const review::Hit& hit) {
    write_texts(json, "warnings", hit.warnings);
    json.key("findings");
    if (hit.looked_at) {
        json.array();
        for (const std::string& id : hit.findings) json.text(id);
        json.end();
    } else {
        json.null();
    }
    json.put("signed_off", hit.signed_off).put("set_aside", hit.set_aside).key("passage").array();
    std::string piece;
    for (const char c : hit.passage) {
        if (c != review::match_begins && c != review::match_ends) {
            piece += c;
            continue;
        }
        json.text(piece);
        piece.clear();
    }
    if (!hit.passage.empty()) json.text(piece);
    json.end();
}

std::string passage_text(const review::Hit& hit) {
    std::string text;
    for (const char c : hit.passage)
        if (c != review::match_begins && c != review::match_ends) text += c;
    return text;
}

}  // namespace

void write_job_row(JsonWriter& json, const record::JobRow& job, const review::Hit* hit) {
    json.object().put("number", job.number).put("job", std::string_view(job.job_id));
    json.put("started", record::utc_text(job.started_utc_ms)).key("clock_synchronised");
    if (job.clock_synchronised) json.boolean(*job.clock_synchronised);
    else json.null();
    json.put("state", record::state_name(job.state)).put("ending", std::string_view(job.ending));
    json.put("origin", job.origin == record::Origin::live ? "live" : "log").put("program", std::string_view(job.program));
    json.put("work", work_name(job.work)).put("item", std::string_view(job.item)).put("seat", std::string_view(job.seat));
    json.put("set", std::string_view(job.set)).put("who", std::string_view(job.who));
    json.put("designation", std::string_view(job.designation)).put("rig", std::string_view(job.rig));
    json.put("practice", job.practice).put("events", job.events).put("length_s", job.length_s).key("call");
    if (job.call.empty()) json.null();
    else json.text(job.call);
    if (hit) write_hit(json, *hit);
    json.end();
}

std::string list_text(const std::vector<review::ListedJob>& jobs, const review::Hits& hits, const std::string& store) {
    if (jobs.empty()) return "No such jobs in " + store + ".\n";
    // Columns as wide as what stands in them, within reason: 80 columns hold the usual list, and a text that is cut says so.
    std::size_t item = 4, seat = 4;
    for (const auto& [job, hit] : jobs) {
        item = std::clamp(columns(calm_line(job.item)), item, std::size_t{28});
        seat = std::clamp(columns(calm_line(job.seat)), seat, std::size_t{14});
    }
    std::string text = "  job  started           call              work  " + cell("item", item) + "  " + cell("seat", seat) + "  who\n";
    for (const auto& [job, hit] : jobs) {
        text += right(std::to_string(job.number), 5) + "  " + record::utc_text(job.started_utc_ms).substr(0, 16) + "  " +
                cell(call_or_dash(job.call), 16) + "  " + cell(std::string(work_name(job.work)), 4) + "  " + cell(job.item, item) + "  " +
                cell(job.seat, seat) + "  " + whole_cell(job.who);
        const std::string_view state = record::state_name(job.state);
        if (state != "ended") text += "  " + std::string(state);
        if (job.practice) text += "  practice";
        if (hit.set_aside) text += "  set aside";
        while (text.back() == ' ') text.pop_back();
        text += "\n";
        if (!hit.passage.empty()) text += wrapped("       " + whole_cell(passage_text(hit)), 80, "       ");
    }
    if (hits.more || hits.total > static_cast<std::int64_t>(jobs.size()))
        text += "The newest " + std::to_string(jobs.size()) + " of " + (hits.more ? "more than " : "") +
                std::to_string(hits.total) + " jobs. ";
    return text + "Times are UTC. One job: halfturn review NUMBER\n";
}

std::string list_json(const std::vector<review::ListedJob>& jobs, const review::Hits& hits, record::Store& store) {
    JsonWriter json;
    json.object()
        .put("store", std::string_view(store.path()))
        .put("head", "sha256:" + store.head())
        .put("total", hits.total)
        .put("more", hits.more)
        .key("jobs")
        .array();
    for (const auto& [job, hit] : jobs) write_job_row(json, job, &hit);
    return json.end().end().take();
}

void put_entries(JsonWriter& json, record::Store& store, const record::JobRow& job) {
    json.key("entries").array();
    for (const review::Entry& entry : review::entries_of_job(store, job.number)) write_entry(json, entry);
    const review::SeatHistory history = review::seat_history(store, job.item, job.seat);
    json.end().key("seat_entries").array();
    for (const review::Entry& entry : history.entries) write_entry(json, entry);
    json.end().key("seat_jobs").array();
    for (const review::SeatJob& one : history.jobs) {
        json.object().put("number", one.job.number).put("started", record::utc_text(one.job.started_utc_ms));
        json.put("work", work_name(one.job.work)).put("call", std::string_view(one.job.call)).key("break_loose_N");
        if (one.figures.break_loose_N) json.number(*one.figures.break_loose_N);
        else json.null();
        json.end();
    }
    json.end();
}

LikeJobs jobs_like(review::JobIndex& index, record::Store& store, std::int64_t number, std::size_t most) {
    LikeJobs like;
    like.number = number;
    review::Hits hits;
    std::map<std::int64_t, double> distances;
    for (const auto& [other, distance] : index.like(store, number, most, like.compared)) {
        hits.jobs.push_back({});
        hits.jobs.back().number = other;
        distances[other] = distance;
    }
    like.jobs = review::read_hits(store, hits);
    for (const review::ListedJob& listed : like.jobs) like.distances.push_back(distances.at(listed.job.number));
    return like;
}

std::string like_json(const LikeJobs& like) {
    JsonWriter json;
    json.object().put("number", like.number).put("compared", like.compared).key("like").array();
    for (std::size_t i = 0; i < like.jobs.size(); ++i) {
        json.object().put("distance", like.distances[i]).key("record");
        write_job_row(json, like.jobs[i].job);
        json.end();
    }
    return json.end().end().take();
}

std::string like_text(const LikeJobs& like) {
    if (like.jobs.empty()) return "No other job's curve can be compared with that of job " + std::to_string(like.number) + ".\n";
    std::string text = "The jobs most like job " + std::to_string(like.number) + ", of " + std::to_string(like.compared) +
                       " of the same work. A repeat on the same fit is about 1 apart;\nfrom 3 on it is plainly another pull.\n\napart    job  started              call              item          seat        who\n";
    for (std::size_t i = 0; i < like.jobs.size(); ++i) {
        const record::JobRow& job = like.jobs[i].job;
        text += right(fixed_text(like.distances[i], 2), 5) + right(std::to_string(job.number), 7) + "  " +
                cell(record::utc_text(job.started_utc_ms), 19) + "  " + cell(call_or_dash(job.call), 16) + "  " +
                cell(job.item, 12) + "  " + cell(job.seat, 10) + "  " + cell(job.who, 12);
        while (text.back() == ' ') text.pop_back();
        text += "\n";
    }
    return text;
}

std::string compared_json(const review::Comparison& comparison, const std::vector<record::JobRow>& jobs) {
    JsonWriter json;
    json.object();
    review::write_comparison(json, comparison);
    json.key("records").array();
    for (const record::JobRow& job : jobs) write_job_row(json, job);
    return json.end().end().take();
}

// The index holds all that the query needs: at once after the first time.
void make_ready(review::JobIndex& index, record::Store& store, bool findings) {
    const auto tell = [](const char* what) { std::fprintf(stderr, "halfturn: %s\n", what); };
    for (int rounds = 0; !index.catch_up(store); ++rounds)
        if (rounds == 1) tell("reading the jobs into the index beside the store, once");
    if (!findings) return;
    if (index.not_looked_at(21) > 20) tell("reading every job's curve for findings, once");
    while (index.look_at_one(store)) {}
}

std::string entries_text(record::Store& store, const record::JobRow& job) {
    std::string text;
    for (const review::Entry& entry : review::entries_of_job(store, job.number)) text += entry_line(entry);
    return text.empty() ? text : "\nEntries on this job\n" + text;
}

std::string seat_text(record::Store& store, const std::string& item, const std::string& seat, std::int64_t but) {
    const review::SeatHistory history = review::seat_history(store, item, seat);
    std::string jobs, entries;
    for (const review::SeatJob& one : history.jobs) {
        if (but == 0) break;  // the list above shows them
        if (one.job.number == but && history.jobs.size() == 1) break;
        std::string line = right(std::to_string(one.job.number), 5) + (one.job.number == but ? "* " : "  ") +
                           record::utc_text(one.job.started_utc_ms).substr(0, 16) + "  " + cell(std::string(work_name(one.job.work)), 3) +
                           "  " + cell(call_or_dash(one.job.call), 16) + "  ";
        if (one.figures.break_loose_N)
            line += one.job.work == Work::out ? "broke loose at " + figures_text(*one.figures.break_loose_N, 3) + " N" : "";
        else if (one.figures.peak_N) line += "peak " + figures_text(*one.figures.peak_N, 3) + " N";
        while (line.back() == ' ') line.pop_back();
        jobs += line + "\n";
    }
    for (const review::Entry& entry : history.entries)
        if (but == 0 || entry.row.job != but) entries += entry_line(entry);
    if (jobs.empty() && entries.empty()) return {};
    return "\nThis seat: " + whole_cell(item) + (seat.empty() ? "" : ", " + whole_cell(seat)) + "\n" + jobs + entries;
}

}  // namespace halfturn::command
