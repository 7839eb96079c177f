#include "record/store.hpp"

#include <unistd.h>

#include <algorithm>
#include <cstdlib>
#include <limits>
#include <random>

#include "core/event.hpp"
#include "core/little_endian.hpp"
#include "core/utf8.hpp"
#include "files/set_up_json.hpp"
#include "record/chain.hpp"
#include "record/schema.hpp"
#include "record/store_files.hpp"
#include "record/wall_clock.hpp"

namespace halfturn::record {
namespace {

constexpr std::string_view damaged_advice = "; the next job will keep it aside and start a new one";

// Letters and digits that are not taken for one another when read aloud.
std::string random_text(std::size_t length) {
    constexpr std::string_view letters = "23456789abcdefghjkmnpqrstuvwxyz";
    std::random_device device;
    std::uniform_int_distribution<std::size_t> pick(0, letters.size() - 1);
    std::string text;
    for (std::size_t i = 0; i < length; ++i) text += letters[pick(device)];
    return text;
}

}  // namespace

std::string default_store_path() {
    if (const char* data = std::getenv("XDG_DATA_HOME"); data != nullptr && data[0] == '/')
        return std::string(data) + "/halfturn/halfturn.db";
    if (const char* home = std::getenv("HOME"); home != nullptr && home[0] == '/')
        return std::string(home) + "/.local/share/halfturn/halfturn.db";
    throw BadInput("there is no home folder to keep the record in: give a file with --store FILE");
}

Store Store::open(const std::string& path, Mode mode) {
    Store store;
    store.path_ = path;
    if (mode == Mode::read) {
        need_file(path);
        store.connect(mode);
        store.read_identity();
        return store;
    }
    if (mode == Mode::add_to) {
        need_file(path);
        if (file_size(path) == 0)
            throw BadInput(path + " is empty" +
                           (file_size(path + "-wal") > 0 ? ", though it was not before: keep a copy of it and of its -wal, the next job will "
                                                           "keep both aside"
                                                         : ": no job was ever recorded in it"));
    }
    make_folder_for(path);
    // One program at a time makes, upgrades or moves a store; the others wait for it.
    const LiveLock guard = LiveLock::take(path, 0, 10000);
    if (!guard.held())
        throw Failure("another program has been busy opening the store " + path + " for ten seconds; try again");
    // SQLite takes an empty file for a new database and throws its WAL away; a store that lost its contents is damaged.
    if (file_size(path) == 0 && file_size(path + "-wal") > 0)
        store.remarks_.push_back("the store " + path + " had become empty; what is left of it was kept as " + move_aside(path) +
                                 "-wal and a new one was started");
    try {
        make_file(path);
        store.connect(mode);
        store.make_or_upgrade();
        store.read_identity();
        if (!store.read_only_) store.mark_cut_off_jobs();
    } catch (const SqlError& error) {
        if (!error.damaged()) throw;
        if (mode == Mode::add_to) throw SqlError(error.code(), error.what() + std::string(damaged_advice));
        store.db_ = Database();
        const std::string aside = move_aside(path);
        store.remarks_.assign(1, std::string(error.what()) + ". It was kept as " + aside +
                                     " and a new one was started; `halfturn verify --store " + aside +
                                     "` shows what can still be read");
        store.read_only_ = false;
        make_file(path);
        store.connect(mode);
        store.make_or_upgrade();
        store.read_identity();
    }
    return store;
}

std::string Store::move_aside(const std::string& path) {
    if (live(path, 0))
        throw Failure("the store " + path + " is damaged, but another recorder is at work in it: end that job first");
    return rename_with_companions(path, path + ".damaged-" + utc_compact(now_utc_ms()));
}

void Store::connect(Mode mode) {
    bool immutable = false;
    if (mode == Mode::read && !can_write_folder_of(path_)) {
        // SQLite needs to make its -shm file beside the store; where that can't be, read the file as it stands.
        immutable = true;
        if (file_size(path_ + "-wal") > 0) {
            immutable = file_size(path_ + "-shm") < 0;
            if (immutable)
                remarks_.push_back("the folder of " + path_ + " can't be written to, so what is still in " + path_ +
                                   "-wal (the last rows) is not shown");
        }
    }
    try {
        db_ = Database(path_, mode, immutable);
        // Cheap, and it makes SQLite read the header, so that a file that is no database shows here.
        if (const std::int64_t id = db_.number("PRAGMA application_id"); id != application_id) {
            if (id != 0 || db_.number("SELECT count(*) FROM sqlite_schema") != 0)
                throw BadInput(path_ + " is a database of some other program: give another file with --store");
        }
    } catch (const SqlError& error) {
        if (error.damaged() && mode == Mode::read)
            throw SqlError(error.code(), error.what() + std::string(damaged_advice));
        throw;
    }
    db_.execute("PRAGMA foreign_keys = ON; PRAGMA trusted_schema = OFF; PRAGMA cell_size_check = ON");
    if (mode == Mode::read) read_only_ = true;
    else if (db_.read_only())
        throw Failure("the store " + path_ + " can't be written to: check who owns it and its folder, and whether the "
                      "disk is mounted read-only");
}

void upgrade(Database& db, const std::vector<std::string_view>& texts) {
    const auto newest = static_cast<std::int64_t>(texts.size());
    for (std::int64_t number = db.number("PRAGMA user_version"); number < newest; ++number) {
        Transaction transaction(db);
        if (db.number("PRAGMA user_version") != number) continue;  // someone else was faster
        db.execute(std::string(texts[static_cast<std::size_t>(number)]));
        db.execute("PRAGMA user_version = " + std::to_string(number + 1));
        transaction.commit();
    }
}

void Store::make_or_upgrade() {
    const std::int64_t was = db_.number("PRAGMA user_version");
    const auto newest = static_cast<std::int64_t>(schemas().size());
    if (was > newest) {
        // Never write into a layout we don't know.
        db_ = Database(path_, Mode::read);
        read_only_ = true;
        remarks_.push_back("the store " + path_ + " was made by a newer halfturn (schema " + std::to_string(was) +
                           ", this one knows up to " + std::to_string(newest) +
                           "), so it is only read: update halfturn, or record elsewhere with --store FILE");
        return;
    }
    if (was > 0 && was < newest) read_what_opening_reads();
    // EXTRA while the store is still in rollback mode: a journal whose removal is lost with the power would roll the whole
    // store back to its beginning. In WAL mode FULL is enough.
    db_.execute("PRAGMA synchronous = EXTRA; PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; "
                "PRAGMA journal_size_limit = 16777216");
    if (was == 0) db_.execute("PRAGMA application_id = " + std::to_string(application_id));
    upgrade(db_, schemas());
    Transaction transaction(db_);
    if (db_.number("SELECT count(*) FROM store") == 0) {
        const std::int64_t now = now_utc_ms();
        const std::string bench = random_text(8);
        Statement add(db_, "INSERT INTO store (id, bench_id, created_utc_ms) VALUES (1, ?, ?)");
        add.bind(1, std::string_view(bench)).bind(2, now).run();
        append_link(db_, "store", 1, now);
        transaction.commit();
    }
}

void Store::read_identity() {
    if (read_only_ && db_.number("SELECT count(*) FROM sqlite_schema WHERE name = 'store'") == 0)
        throw BadInput(path_ + " is empty: no job was ever recorded in it");
    Statement find(db_, "SELECT bench_id FROM store");
    if (find.row()) bench_id_ = find.copy(0);
}

// Before an older store is added to, so that one that turns out damaged is put aside as it was.
void Store::read_what_opening_reads() {
    read_identity();
    db_.number("SELECT count(*) FROM jobs WHERE state = 'running'");
    db_.number("SELECT coalesce(max(number), 0) FROM chain");
}

void Store::need_write(const char* what) const {
    if (read_only_)
        throw Failure(std::string("can't ") + what + ": the store " + path_ + " is opened for reading only" +
                      (remarks_.empty() ? "" : " (" + remarks_.back() + ")"));
}

OpenJob Store::begin_job(const SetUp& set_up, Origin origin) {
    need_write("start a job");
    const std::string json = set_up_json(set_up);
    const std::int64_t now = now_utc_ms();
    OpenJob job;
    Transaction transaction(db_);
    job.number = db_.number("SELECT coalesce(max(number), 0) + 1 FROM jobs");
    // A recorder still at work in a store that was moved away may hold this number's byte; then take the next number.
    while (!(job.lock = LiveLock::take(path_, job.number, 0)).held()) ++job.number;
    job.job_id = bench_id_ + "-" + std::to_string(job.number) + "-" + random_text(4);
    const std::string program = HALFTURN_VERSION;
    const std::string item = as_utf8(set_up.item), seat = as_utf8(set_up.seat), set = as_utf8(set_up.set),
                      who = as_utf8(set_up.who), designation = as_utf8(set_up.designation), rig = as_utf8(set_up.rig);
    const auto synchronised = clock_synchronised();
    Statement add(db_,
                  "INSERT INTO jobs (number, job_id, started_utc_ms, clock_synchronised, origin, program, work, item, seat, "
                  "set_name, who, designation, rig, practice, state) "
                  "VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, 'running')");
    add.bind(1, job.number).bind(2, std::string_view(job.job_id)).bind(3, now);
    add.bind(4, synchronised ? std::optional<std::int64_t>(*synchronised) : std::nullopt);
    add.bind(5, origin == Origin::live ? std::string_view("live") : std::string_view("log"));
    add.bind(6, std::string_view(program)).bind(7, work_name(set_up.work)).bind(8, std::string_view(item));
    add.bind(9, std::string_view(seat)).bind(10, std::string_view(set)).bind(11, std::string_view(who));
    add.bind(12, std::string_view(designation)).bind(13, std::string_view(rig));
    add.bind(14, std::int64_t{set_up.practice}).run();
    Statement keep(db_, "INSERT INTO set_ups (job, json) VALUES (?, ?)");
    keep.bind(1, job.number).bind(2, std::string_view(json)).run();
    job.last_hash = append_link(db_, "job-started", job.number, now);
    append_link(db_, "set-up", job.number, now);
    transaction.commit();
    return job;
}

void Store::add_block(OpenJob& job, std::string_view events) {
    BlockHead head;
    head.number = job.blocks + 1;
    std::int64_t count = 0;
    // By the events' heads alone; their layout stands in core/event.hpp.
    for (std::size_t at = 0; at + event_header_bytes <= events.size(); ++count) {
        head.last_seq = read_little_endian<std::int64_t>(events, at);
        head.last_ns = read_little_endian<std::int64_t>(events, at + 8);
        if (count == 0) {
            head.first_seq = head.last_seq;
            head.first_ns = head.last_ns;
        }
        at += event_header_bytes + read_little_endian<std::uint32_t>(events, at + 20);
    }
    const std::string hash = block_hash(job.last_hash, head, events);
    if (!job.add)
        job.add = std::make_unique<Statement>(
            db_,
            "INSERT INTO event_blocks (job, number, first_seq, last_seq, first_ns, last_ns, events, hash) "
            "VALUES (?, ?, ?, ?, ?, ?, ?, ?)");
    Statement& add = *job.add;
    add.bind(1, job.number).bind(2, head.number).bind(3, head.first_seq).bind(4, head.last_seq);
    add.bind(5, head.first_ns).bind(6, head.last_ns).bind_blob(7, events).bind_blob(8, hash).run();
    job.last_hash = hash;
    job.blocks = head.number;
    job.events += count;
}

namespace {

void insert_judgement(Database& db, std::int64_t job, const Judged& judged, std::int64_t now) {
    const std::string json = as_utf8(judged.json);
    Statement add(db, "INSERT INTO judgements (job, made_utc_ms, judge, call, fingerprint, json) VALUES (?, ?, ?, ?, ?, ?)");
    add.bind(1, job).bind(2, now).bind(3, std::string_view(judged.judge)).bind(4, std::string_view(judged.call));
    add.bind(5, std::string_view(judged.fingerprint)).bind(6, std::string_view(json)).run();
    append_link(db, "judgement", db.number("SELECT last_insert_rowid()"), now);
}

void close_job(Database& db, std::int64_t number, const char* state, std::optional<std::int64_t> ended_utc_ms,
               std::string_view ending, std::int64_t blocks, std::int64_t events, std::string_view last_hash) {
    Statement end(db,
                  "UPDATE jobs SET state = ?, ended_utc_ms = ?, ending = ?, blocks = ?, events = ?, last_hash = ? "
                  "WHERE number = ?");
    end.bind(1, std::string_view(state)).bind(2, ended_utc_ms).bind(3, ending).bind(4, blocks).bind(5, events);
    end.bind_blob(6, last_hash).bind(7, number).run();
    append_link(db, "job-ended", number, now_utc_ms());
}

}  // namespace

void Store::end_job(OpenJob& job, std::string_view ending, const std::optional<Judged>& judged) {
    const std::int64_t now = now_utc_ms();
    const std::string words = as_utf8(ending);
    Transaction transaction(db_);
    close_job(db_, job.number, "ended", now, words, job.blocks, job.events, job.last_hash);
    if (judged) insert_judgement(db_, job.number, *judged, now);
    transaction.commit();
    job.add.reset();
    job.lock = LiveLock();
}

int Store::mark_cut_off_jobs() {
    struct Dead { std::int64_t number; std::string last_hash; std::int64_t blocks = 0, events = 0; };
    if (db_.number("SELECT count(*) FROM jobs WHERE state = 'running'") == 0) return 0;
    Transaction transaction(db_);
    std::vector<Dead> dead;
    {
        Statement find(db_,
                       "SELECT jobs.number, chain.content FROM jobs LEFT JOIN chain ON chain.kind = 'job-started' AND "
                       "chain.row = jobs.number WHERE state = 'running'");
        while (find.row())
            if (!live(path_, find.integer(0))) dead.push_back({find.integer(0), std::string(find.blob(1))});
    }
    for (Dead& job : dead) {
        // The last block's numbers; seq counts from 1 without gaps, so the last is also how many there are.
        Statement last(db_, "SELECT number, last_seq, hash FROM event_blocks WHERE job = ? ORDER BY number DESC LIMIT 1");
        last.bind(1, job.number);
        if (last.row()) {
            job.blocks = last.integer(0);
            job.events = last.integer(1);
            job.last_hash = last.blob(2);
        }
        last.reset();
        close_job(db_, job.number, "cut-off", {}, "cut off: the recording program ended without closing the job", job.blocks,
                  job.events, job.last_hash);
        remarks_.push_back("job " + std::to_string(job.number) + " was cut off (the program or the power failed): its first " +
                           std::to_string(job.events) + " events are kept, and it is marked so");
    }
    transaction.commit();
    return static_cast<int>(dead.size());
}

bool Store::add_judgement(std::int64_t job, const Judged& judged) {
    need_write("add a judgement");
    Transaction transaction(db_);
    {
        Statement find(db_, "SELECT 1 FROM judgements WHERE job = ? AND judge = ?");
        find.bind(1, job).bind(2, std::string_view(judged.judge));
        if (find.row()) return false;
    }
    insert_judgement(db_, job, judged, now_utc_ms());
    transaction.commit();
    return true;
}

std::int64_t Store::add_entry(const NewEntry& entry) {
    need_write("add an entry");
    const std::int64_t now = now_utc_ms();
    const std::string who = as_utf8(entry.who), item = as_utf8(entry.item), seat = as_utf8(entry.seat),
                      json = as_utf8(entry.json);
    Transaction transaction(db_);
    Statement add(db_, "INSERT INTO entries (job, made_utc_ms, kind, who, item, seat, json) VALUES (?, ?, ?, ?, ?, ?, ?)");
    add.bind(1, entry.job).bind(2, now).bind(3, std::string_view(entry.kind)).bind(4, std::string_view(who));
    add.bind(5, std::string_view(item)).bind(6, std::string_view(seat)).bind(7, std::string_view(json)).run();
    const std::int64_t id = db_.number("SELECT last_insert_rowid()");
    append_link(db_, "entry", id, now);
    transaction.commit();
    return id;
}

std::int64_t Store::add_certificate(std::string_view certificate_id, std::string_view json) {
    need_write("add a certificate");
    const std::int64_t now = now_utc_ms();
    Transaction transaction(db_);
    Statement add(db_, "INSERT INTO certificates (certificate_id, made_utc_ms, json) VALUES (?, ?, ?)");
    add.bind(1, certificate_id).bind(2, now).bind(3, json).run();
    const std::int64_t id = db_.number("SELECT last_insert_rowid()");
    append_link(db_, "certificate", id, now);
    transaction.commit();
    return id;
}

std::string Store::head() { return head_of(db_); }

void Store::copy_to(const std::string& target) {
    if (file_size(target) >= 0) throw BadInput(target + " exists: a copy of the store never overwrites a file; give a new name");
    // Under a name of its own until it is whole: what a kill leaves half done must never stand there as a copy.
    const std::string part = target + ".part-" + std::to_string(::getpid());
    remove_file(part);
    try {
        make_file(part);
        {
            Database copy(part, Mode::write);
            db_.copy_to(copy);
            // The copy must be whole in one file: out of WAL mode, so that nothing of it waits beside it.
            copy.execute("PRAGMA journal_mode = DELETE");
        }
        sync_file(part);
        rename_to_new(part, target);
    } catch (...) {
        remove_file(part);
        throw;
    }
}

}  // namespace halfturn::record
