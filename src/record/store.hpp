// The file that keeps the jobs: opened, made, upgraded, and written to in whole transactions. One Store is one connection,
// for one thread at a time; any number of stores and programs may have the same file open.
//   Store store = Store::open(default_store_path(), Mode::write);
//   for (const std::string& remark : store.remarks()) tell(remark);
#pragma once

#include <cstdint>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/set_up.hpp"
#include "record/live_lock.hpp"
#include "record/sqlite.hpp"

namespace halfturn::record {

// $XDG_DATA_HOME/halfturn/halfturn.db, or ~/.local/share/halfturn/halfturn.db. Throws BadInput when neither is set.
std::string default_store_path();

enum class Origin : std::uint8_t { live, log };

// A judged job as the contracts have it; the record keeps it beside the events and never looks inside `json`.
struct Judged {
    std::string judge;        // the judge's version
    std::string call;         // "nothing-unusual", …
    std::string fingerprint;  // "sha256:…"
    std::string json;
};

// A job being recorded: what the recorder needs to add blocks to it.
struct OpenJob {
    std::int64_t number = 0;
    std::string job_id;
    std::string last_hash;    // of the last block, or the job's own start
    std::int64_t blocks = 0, events = 0;
    LiveLock lock;            // held while the recorder lives
    std::unique_ptr<Statement> add;  // prepared once: that costs more than a block. The Store must outlive it
};

class Store {
public:
    // With Mode::write a missing store is made (folder 0700, file 0600), an older one is upgraded, jobs whose recorder
    // died are marked as cut off, and a file that SQLite calls damaged is moved aside and a new one started; remarks() say
    // what was done. With Mode::add_to no store is made or moved aside. With Mode::read nothing is changed.
    // Throws Failure (can't be opened or written; nothing was touched) or BadInput (a database of some other program).
    static Store open(const std::string& path, Mode mode);

    // Moves a store that turned out to be damaged aside, with its -wal and -shm. Returns its new name.
    // Throws Failure, touching nothing, while another recorder is at work in it or the name can't be changed.
    static std::string move_aside(const std::string& path);

    const std::string& path() const { return path_; }
    const std::string& bench_id() const { return bench_id_; }
    bool read_only() const { return read_only_; }
    const std::vector<std::string>& remarks() const { return remarks_; }
    Database& database() { return db_; }

    // ---- a job ----------------------------------------------------------------------------------------------------
    OpenJob begin_job(const SetUp& set_up, Origin origin);
    void add_block(OpenJob& job, std::string_view events);  // canonical bytes, at least one event
    // The end of a job, with what the judge made of it, in one transaction.
    void end_job(OpenJob& job, std::string_view ending, const std::optional<Judged>& judged);

    // ---- what is added beside ------------------------------------------------------------------------------------
    // False, and nothing done, when the job already has a judgement by this version.
    bool add_judgement(std::int64_t job, const Judged& judged);
    struct NewEntry {
        std::optional<std::int64_t> job;
        std::string kind;  // note, inspection, sign-off, set-aside, taken-back
        std::string who, item, seat;
        std::string json;  // an object; its keys belong to the kind
    };
    std::int64_t add_entry(const NewEntry& entry);
    std::int64_t add_certificate(std::string_view certificate_id, std::string_view json);
    // Keeps a JPEG, PNG or WebP file of at most 8 MiB, once, and returns the SHA-256 of its bytes (64 hex digits).
    // Throws BadInput for anything else.
    std::string add_photo(std::string_view bytes);

    // ---- the whole -----------------------------------------------------------------------------------------------
    std::string head();  // newest link of the chain, 64 hex digits
    // A copy that is whole at one moment, made while others write. Throws BadInput when `target` exists.
    void copy_to(const std::string& target);
    int mark_cut_off_jobs();  // how many were marked
    // Without it a commit may be lost with the power, until the next one that is synced; the store stays whole either way.
    void sync_each_commit(bool on) { db_.execute(on ? "PRAGMA synchronous = FULL" : "PRAGMA synchronous = NORMAL"); }

private:
    Store() = default;
    void connect(Mode mode);
    void make_or_upgrade();
    void read_identity();
    void read_what_opening_reads();
    void need_write(const char* what) const;

    std::string path_, bench_id_;
    Database db_;
    bool read_only_ = false;
    std::vector<std::string> remarks_;
};

// Applies the schemas after the database's own number, each in one transaction. `texts` is schemas() but in tests.
void upgrade(Database& db, const std::vector<std::string_view>& texts);

}  // namespace halfturn::record
