// A store of many made-up jobs for searching: written row by row with its chain, in one transaction, so that a hundred
// thousand take seconds. No recorder ran; there are a few events in each, and no curve worth reading.
#pragma once

#include <array>
#include <string>
#include <vector>

#include "core/event.hpp"
#include "core/json_writer.hpp"
#include "files/set_up_json.hpp"
#include "record/chain.hpp"
#include "record/store.hpp"

namespace halfturn::test {

struct MadeJob {
    std::string item, seat, set, who, designation, rig, call, warning, says, note;
    std::int64_t started_utc_ms = 0;
};

// Job number n, from 1, of the usual crowd: one in twenty looked at closer, one in fifty stopped, one in seven with a note.
inline MadeJob usual_made_job(std::int64_t n) {
    static const std::array<const char*, 7> people = {"Zoë", "Ben", "Ana", "Olu", "Mei", "Ravi", "Tom O'Hara"};
    static const std::array<const char*, 5> bearings = {"61902-2RS", "6001", "6902 ZZ", "61901", "6002-2RS"};
    static const std::array<const char*, 6> notes = {"came easily", "scored near the mouth, photo kept", "hub was warm from the sun",
                                                     "rust in the spacer's bore", "drift renewed before this job", "second try after oiling"};
    const auto u = static_cast<std::size_t>(n);
    MadeJob job;
    job.item = "wheel " + std::to_string(n / 4);
    job.seat = n % 2 ? "left" : "right";
    job.set = "week " + std::to_string(n / 200);
    job.who = people[u % people.size()];
    job.designation = bearings[u % bearings.size()];
    job.rig = u % 3 ? "bench one" : "bench two";
    job.call = u % 50 == 0 ? "stop-and-inspect" : u % 20 == 0 ? "look-closer" : "nothing-unusual";
    if (u % 50 == 0) job.warning = "no-release-in-half-turn", job.says = "Half a turn since contact and the ring has not broken loose.";
    else if (u % 20 == 0) job.warning = "past-break-loose-band", job.says = "The force went above what this fit should need.";
    if (u % 7 == 0) job.note = notes[u / 7 % notes.size()];
    job.started_utc_ms = 1'700'000'000'000 + n * 300'000;
    return job;
}

template <typename MakeJob>
void add_made_jobs(record::Store& store, std::int64_t count, MakeJob&& make) {
    using record::append_link;
    using record::Statement;
    record::Database& db = store.database();
    record::Transaction transaction(db);
    const std::string set_up = set_up_json(SetUp());
    std::string events;
    for (std::uint64_t seq = 1; seq <= 4; ++seq) append_event_bytes(Event{seq, static_cast<Instant>(seq) * 100'000'000, Tick{}}, events);
    Statement job(
        db,
        "INSERT INTO jobs (number, job_id, started_utc_ms, origin, program, work, item, seat, set_name, who, designation, rig, "
        "practice, state) VALUES (?, ?, ?, 'live', 'test', 'out', ?, ?, ?, ?, ?, ?, 0, 'running')");
    Statement frozen(db, "INSERT INTO set_ups (job, json) VALUES (?, ?)");
    Statement block(db,
                    "INSERT INTO event_blocks (job, number, first_seq, last_seq, first_ns, last_ns, events, hash) VALUES (?, 1, "
                    "1, 4, 100000000, 400000000, ?, ?)");
    Statement end(db,
                  "UPDATE jobs SET state = 'ended', ended_utc_ms = started_utc_ms + 60000, ending = 'ended by hand', blocks = 1, "
                  "events = 4, last_hash = ? WHERE number = ?");
    Statement judged(db, "INSERT INTO judgements (job, made_utc_ms, judge, call, fingerprint, json) VALUES (?, ?, '2', ?, 'sha256:0', ?)");
    Statement entry(db, "INSERT INTO entries (job, made_utc_ms, kind, who, item, seat, json) VALUES (?, ?, 'note', ?, ?, ?, ?)");
    std::int64_t number = db.number("SELECT coalesce(max(number), 0) FROM jobs");
    for (const std::int64_t last = number + count; ++number <= last;) {
        const MadeJob made = make(number);
        const std::string id = store.bench_id() + "-" + std::to_string(number) + "-test";
        const std::int64_t now = made.started_utc_ms;
        job.bind(1, number)
            .bind(2, std::string_view(id))
            .bind(3, now)
            .bind(4, std::string_view(made.item))
            .bind(5, std::string_view(made.seat));
        job.bind(6, std::string_view(made.set))
            .bind(7, std::string_view(made.who))
            .bind(8, std::string_view(made.designation))
            .bind(9, std::string_view(made.rig))
            .run();
        frozen.bind(1, number).bind(2, std::string_view(set_up)).run();
        const std::string start = append_link(db, "job-started", number, now);
        append_link(db, "set-up", number, now);
        const std::string hash = record::block_hash(start, {1, 1, 4, 100'000'000, 400'000'000}, events);
        block.bind(1, number).bind_blob(2, events).bind_blob(3, hash).run();
        end.bind_blob(1, hash).bind(2, number).run();
        append_link(db, "job-ended", number, now);
        JsonWriter json;
        json.object().put("call", std::string_view(made.call)).key("reasons").array().end().key("warnings").array();
        if (!made.warning.empty()) json.object().put("id", std::string_view(made.warning)).put("says", std::string_view(made.says)).end();
        const std::string judgement = json.end().end().take();
        judged.bind(1, number).bind(2, now).bind(3, std::string_view(made.call)).bind(4, std::string_view(judgement)).run();
        append_link(db, "judgement", db.number("SELECT last_insert_rowid()"), now);
        if (made.note.empty()) continue;
        const std::string note = JsonWriter().object().put("text", std::string_view(made.note)).end().take();
        entry.bind(1, number)
            .bind(2, now)
            .bind(3, std::string_view(made.who))
            .bind(4, std::string_view(made.item))
            .bind(5, std::string_view(made.seat))
            .bind(6, std::string_view(note))
            .run();
        append_link(db, "entry", db.number("SELECT last_insert_rowid()"), now);
    }
    transaction.commit();
}

}  // namespace halfturn::test
