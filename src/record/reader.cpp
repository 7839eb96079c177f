#include "record/reader.hpp"

#include "core/number_text.hpp"
#include "core/sha256.hpp"
#include "files/set_up_json.hpp"
#include "record/job_rows.hpp"

namespace halfturn::record {
namespace {

constexpr std::string_view job_columns =
    "SELECT j.number, j.job_id, j.started_utc_ms, j.clock_synchronised, j.origin, j.program, j.work, j.item, j.seat, "
    "j.set_name, j.who, j.designation, j.rig, j.practice, j.state, j.ended_utc_ms, j.ending, "
    "(SELECT last_ns FROM event_blocks b WHERE b.job = j.number ORDER BY b.number DESC LIMIT 1), "
    "(SELECT last_seq FROM event_blocks b WHERE b.job = j.number ORDER BY b.number DESC LIMIT 1), "
    "(SELECT call FROM judgements v WHERE v.job = j.number ORDER BY v.id DESC LIMIT 1) FROM jobs j ";

JobRow job_from(const Statement& row, const std::string& path) {
    JobRow job;
    job.number = row.integer(0);
    job.job_id = row.copy(1);
    job.started_utc_ms = row.integer(2);
    if (const auto synchronised = row.integer_if(3)) job.clock_synchronised = *synchronised != 0;
    job.origin = row.text(4) == "log" ? Origin::log : Origin::live;
    job.program = row.copy(5);
    job.work = row.text(6) == "in" ? Work::in : Work::out;
    job.item = row.copy(7);
    job.seat = row.copy(8);
    job.set = row.copy(9);
    job.who = row.copy(10);
    job.designation = row.copy(11);
    job.rig = row.copy(12);
    job.practice = row.integer(13) != 0;
    if (row.text(14) == "ended") job.state = JobState::ended;
    else if (row.text(14) == "cut-off" || !live(path, job.number)) job.state = JobState::cut_off;
    job.ended_utc_ms = row.integer_if(15);
    job.ending = row.copy(16);
    job.length_s = seconds(row.integer(17));
    job.events = row.integer(18);
    job.call = row.copy(19);
    return job;
}

EntryRow entry_from(const Statement& row) {
    return {row.integer(0), row.integer(1), row.integer_if(2), row.copy(3), row.copy(4), row.copy(5), row.copy(6), row.copy(7)};
}

constexpr std::string_view entry_columns = "SELECT id, made_utc_ms, job, kind, who, item, seat, json FROM entries WHERE ";

}  // namespace

std::string_view state_name(JobState state) {
    switch (state) {
        case JobState::running: return "running";
        case JobState::ended: return "ended";
        default: return "cut-off";
    }
}

std::vector<JobRow> list_jobs(Store& store, const JobFilter& filter) {
    std::string sql(job_columns);
    std::vector<std::string_view> texts;
    const auto add = [&](const char* condition, std::string_view text) {
        if (text.empty()) return;
        sql += texts.empty() ? "WHERE " : "AND ";
        sql += condition;
        texts.push_back(text);
    };
    add("j.item = ? ", filter.item);
    add("j.seat = ? ", filter.seat);
    add("j.set_name = ? ", filter.set);
    if (filter.before > 0) sql += (texts.empty() ? "WHERE j.number < " : "AND j.number < ") + std::to_string(filter.before) + " ";
    sql += "ORDER BY j.number DESC";
    if (filter.most > 0) sql += " LIMIT " + std::to_string(filter.most);
    Statement find(store.database(), sql);
    for (std::size_t i = 0; i < texts.size(); ++i) find.bind(static_cast<int>(i + 1), texts[i]);
    std::vector<JobRow> jobs;
    while (find.row()) jobs.push_back(job_from(find, store.path()));
    return jobs;
}

std::vector<JobRow> read_jobs(Store& store, const std::vector<std::int64_t>& numbers) {
    Statement find(store.database(), std::string(job_columns) + "WHERE j.number = ?");
    std::vector<JobRow> jobs;
    for (const std::int64_t number : numbers) {
        find.bind(1, number);
        if (find.row()) jobs.push_back(job_from(find, store.path()));
        find.reset();
    }
    return jobs;
}

JobRow find_job(Store& store, std::string_view id) {
    const auto number = parse_integer(id);
    Statement find(store.database(), std::string(job_columns) +
                                         (number ? "WHERE j.number = ?" : "WHERE substr(j.job_id, 1, length(?1)) = ?1 LIMIT 2"));
    if (number) find.bind(1, *number);
    else find.bind(1, id);
    if (!id.empty() && find.row()) {
        JobRow job = job_from(find, store.path());
        if (number || job.job_id == id || !find.row()) return job;
        throw BadInput("more than one job's id begins with \"" + std::string(id) + "\": give more of it, or the job's number");
    }
    find.reset();
    const std::int64_t newest = store.database().number("SELECT coalesce(max(number), 0) FROM jobs");
    throw BadInput("there is no job \"" + std::string(id) + "\" in " + store.path() +
                   (newest == 0 ? ": no job was recorded yet" : ": its newest is " + std::to_string(newest) +
                                                                    ", and `halfturn review` lists them all"));
}

std::string read_set_up_json(Store& store, std::int64_t job) {
    Statement find(store.database(), "SELECT json FROM set_ups WHERE job = ?");
    find.bind(1, job);
    if (!find.row()) throw Failure("the store " + store.path() + " holds no set-up for job " + std::to_string(job) +
                                   ": `halfturn verify` shows what is missing");
    return find.copy(0);
}

SetUp read_set_up(Store& store, std::int64_t job) {
    return set_up_from_json(read_set_up_json(store, job), "the set-up of job " + std::to_string(job));
}

void for_each_event(Store& store, std::int64_t job, const std::function<bool(const Event&)>& sink) {
    Statement find(store.database(), "SELECT number, events FROM event_blocks WHERE job = ? ORDER BY number");
    find.bind(1, job);
    Event event;
    std::uint64_t next = 1;
    while (find.row()) {
        std::string_view bytes = find.blob(1);
        while (!bytes.empty()) {
            if (!take_event(bytes, event) || event.seq != next)
                throw Failure("block " + std::to_string(find.integer(0)) + " of job " + std::to_string(job) + " in " +
                              store.path() + " can't be read after event " + std::to_string(next - 1) +
                              ": `halfturn verify` shows what was altered");
            ++next;
            if (!sink(event)) return;
        }
    }
}

std::vector<Event> read_events(Store& store, std::int64_t job) {
    std::vector<Event> events;
    for_each_event(store, job, [&](const Event& event) {
        events.push_back(event);
        return true;
    });
    return events;
}

std::vector<JudgedRow> read_judgements(Store& store, std::int64_t job) {
    Statement find(store.database(),
                   "SELECT id, made_utc_ms, judge, call, fingerprint, json FROM judgements WHERE job = ? ORDER BY id");
    find.bind(1, job);
    std::vector<JudgedRow> rows;
    while (find.row())
        rows.push_back({find.integer(0), find.integer(1), {find.copy(2), find.copy(3), find.copy(4), find.copy(5)}});
    return rows;
}

std::optional<EntryRow> find_entry(Store& store, std::int64_t id) {
    Statement find(store.database(), std::string(entry_columns) + "id = ?");
    find.bind(1, id);
    if (!find.row()) return {};
    return entry_from(find);
}

std::vector<EntryRow> read_entries(Store& store, std::int64_t job) {
    Statement find(store.database(), std::string(entry_columns) + "job = ? ORDER BY id");
    find.bind(1, job);
    std::vector<EntryRow> rows;
    while (find.row()) rows.push_back(entry_from(find));
    return rows;
}

std::vector<EntryRow> read_entries_of_seat(Store& store, std::string_view item, std::string_view seat) {
    Statement find(store.database(), std::string(entry_columns) + "item = ? AND seat = ? ORDER BY id");
    find.bind(1, item).bind(2, seat);
    std::vector<EntryRow> rows;
    while (find.row()) rows.push_back(entry_from(find));
    return rows;
}

std::optional<PhotoRow> read_photo(Store& store, std::string_view sha256_hex) {
    std::string hash;
    if (!from_hex(sha256_hex, hash)) return {};
    Statement find(store.database(), "SELECT media_type, bytes FROM photos WHERE sha256 = ?");
    find.bind_blob(1, hash);
    if (!find.row()) return {};
    return PhotoRow{find.copy(0), std::string(find.blob(1))};
}

std::vector<CertificateRow> read_certificates(Store& store) {
    Statement find(store.database(), "SELECT id, made_utc_ms, certificate_id, json FROM certificates ORDER BY id DESC");
    std::vector<CertificateRow> rows;
    while (find.row()) rows.push_back({find.integer(0), find.integer(1), find.copy(2), find.copy(3)});
    return rows;
}

}  // namespace halfturn::record
