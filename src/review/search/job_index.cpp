#include "review/search/job_index.hpp"

#include <set>

#include "core/failure.hpp"
#include "record/job_rows.hpp"
#include "record/store_files.hpp"
#include "review/search/index_layout.hpp"
#include "review/search/index_rows.hpp"
#include "review/search/look.hpp"

namespace halfturn::review {
namespace {

using record::Database;
using record::SqlError;
using record::Statement;
using record::Store;
using record::Transaction;

struct Foreign {};  // the name is taken by a file of some other program

std::string link_at(Database& store, std::int64_t number) {
    Statement find(store, "SELECT link FROM chain WHERE number = ?");
    find.bind(1, number);
    return find.row() ? std::string(find.blob(0)) : std::string();
}

Database open_file(const std::string& path) {
    record::make_file(path);
    Database db(path, record::Mode::write);
    const std::int64_t id = db.number("PRAGMA application_id");
    if (id != index_application_id && (id != 0 || db.number("SELECT count(*) FROM sqlite_schema") != 0)) throw Foreign();
    if (db.read_only()) throw Foreign();
    // Filters go through many small rows: larger pages are fewer to fetch, which halves their time. Only a new file takes them.
    db.execute("PRAGMA page_size = 16384");
    // Nothing here is a loss: the newest rows may go with the power, the file itself stays whole.
    db.execute("PRAGMA journal_mode = WAL; PRAGMA synchronous = NORMAL; PRAGMA trusted_schema = OFF; PRAGMA cell_size_check = ON; "
               "PRAGMA journal_size_limit = 16777216");
    return db;
}

// The jobs that links after `seen` are about, and how far was read.
struct Changed {
    std::set<std::int64_t> jobs;
    std::int64_t seen = 0;
};

Changed changed_since(Database& store, std::int64_t seen, std::size_t most_links) {
    Changed changed{{}, seen};
    Statement links(store, "SELECT number, kind, row FROM chain WHERE number > ? ORDER BY number LIMIT ?");
    links.bind(1, seen).bind(2, static_cast<std::int64_t>(most_links));
    Statement judged(store, "SELECT job FROM judgements WHERE id = ?");
    Statement entry(store, "SELECT job, item, seat FROM entries WHERE id = ?");
    Statement on_seat(store, "SELECT number FROM jobs WHERE item = ? AND seat = ?");
    while (links.row()) {
        changed.seen = links.integer(0);
        const std::string_view kind = links.text(1);
        const std::int64_t row = links.integer(2);
        if (kind == "job-started" || kind == "job-ended") {
            changed.jobs.insert(row);
        } else if (kind == "judgement") {
            judged.bind(1, row);
            while (judged.row()) changed.jobs.insert(judged.integer(0));
        } else if (kind == "entry") {
            entry.bind(1, row);
            while (entry.row()) {
                if (const auto job = entry.integer_if(0)) {
                    changed.jobs.insert(*job);
                } else if (const std::string item = entry.copy(1), seat = entry.copy(2); !item.empty()) {
                    on_seat.bind(1, std::string_view(item)).bind(2, std::string_view(seat));
                    while (on_seat.row()) changed.jobs.insert(on_seat.integer(0));
                }
            }
        }
    }
    return changed;
}

}  // namespace

JobIndex JobIndex::in_memory() {
    JobIndex index(Database::in_memory());
    index.make();
    return index;
}

JobIndex JobIndex::beside(Store& store) {
    const std::string path = store.path() + "-index";
    for (int attempt = 0; attempt < 2; ++attempt) {
        try {
            JobIndex index(open_file(path));
            index.make();
            return index;
        } catch (const Foreign&) {
            break;
        } catch (const SqlError& error) {
            if (!error.damaged()) break;
            record::remove_file(path);
        } catch (const Failure&) {  // a folder that can't be written to
            break;
        }
    }
    return in_memory();
}

void JobIndex::make() {
    if (db_.number("PRAGMA user_version") == index_layout_number) return;
    Transaction transaction(db_);
    if (db_.number("PRAGMA user_version") == index_layout_number) return;  // somebody else was faster
    // The full-text table first: it takes its own tables with it.
    db_.execute("DROP TABLE IF EXISTS texts");
    for (;;) {
        std::string name;
        {
            Statement find(db_, "SELECT name FROM sqlite_schema WHERE type = 'table' AND name NOT LIKE 'sqlite_%' LIMIT 1");
            if (find.row()) name = find.copy(0);
        }
        if (name.empty()) break;
        std::string quoted;
        for (const char c : name) quoted += c == '"' ? std::string("\"\"") : std::string(1, c);
        db_.execute("DROP TABLE \"" + quoted + "\"");
    }
    db_.execute(std::string(index_layout));
    db_.execute("PRAGMA application_id = " + std::to_string(index_application_id));
    db_.execute("PRAGMA user_version = " + std::to_string(index_layout_number));
    transaction.commit();
}

bool JobIndex::of_this_store(Store& store) {
    Statement find(db_, "SELECT bench_id, looks, seen, link FROM state");
    if (!find.row() || find.text(0) != store.bench_id() || find.text(1) != look_version()) return false;
    // A copy of the store that went its own way has the same name and another link here.
    return find.integer(2) == 0 || find.blob(3) == link_at(store.database(), find.integer(2));
}

void JobIndex::start_anew(Store& store) {
    db_.execute("DELETE FROM texts; DELETE FROM features; DELETE FROM findings; DELETE FROM warnings; DELETE FROM jobs; DELETE FROM state");
    Statement put(db_, "INSERT INTO state (id, bench_id, looks, seen, link) VALUES (1, ?, ?, 0, x'')");
    const std::string looks = look_version();
    put.bind(1, std::string_view(store.bench_id())).bind(2, std::string_view(looks)).run();
}

bool JobIndex::catch_up(Store& store, std::size_t most_links) {
    const auto newest = [&] { return store.database().number("SELECT coalesce(max(number), 0) FROM chain"); };
    const bool ours = of_this_store(store);
    if (ours && db_.number("SELECT seen FROM state") == newest()) return true;
    Transaction transaction(db_);
    if (!of_this_store(store)) start_anew(store);
    const Changed changed = changed_since(store.database(), db_.number("SELECT seen FROM state"), most_links);
    put_jobs(db_, store, {changed.jobs.begin(), changed.jobs.end()});
    const std::string link = link_at(store.database(), changed.seen);
    Statement(db_, "UPDATE state SET seen = ?, link = ?").bind(1, changed.seen).bind_blob(2, link).run();
    transaction.commit();
    return changed.seen == newest();
}

std::int64_t JobIndex::not_looked_at(std::int64_t most) {
    return db_.number("SELECT count(*) FROM (SELECT 1 FROM jobs WHERE looked_at = 0 AND over = 1 LIMIT " + std::to_string(most) + ")");
}

bool JobIndex::look_at_one(Store& store, std::optional<std::int64_t> wanted) {
    Statement find(db_, "SELECT max(number) FROM jobs WHERE looked_at = 0 AND over = 1 AND (?1 IS NULL OR number = ?1)");
    find.bind(1, wanted);
    const std::int64_t number = find.row() ? find.integer(0) : 0;
    find.reset();
    if (number == 0) return false;
    const auto jobs = record::read_jobs(store, {number});
    const Look look = jobs.empty() ? Look() : look_at(store, jobs.front());
    Transaction transaction(db_);
    put_look(db_, store, number, look);
    transaction.commit();
    return true;
}

}  // namespace halfturn::review
