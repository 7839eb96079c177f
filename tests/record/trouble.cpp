// Disks that fill, fail or stall; stores that are read-only, shared, newer, damaged or gone: a clear message, the bench goes
// on, nothing good is destroyed.
#include <sqlite3.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <clocale>
#include <functional>
#include <locale>
#include <thread>

#include "files/set_up_json.hpp"
#include "record/bench.hpp"
#include "record/disk.hpp"
#include "record/reader.hpp"
#include "record/recorder.hpp"
#include "record/schema.hpp"
#include "record/verify.hpp"

using namespace halfturn;
using namespace halfturn::record;
using namespace halfturn::test;
using namespace std::chrono_literals;

namespace {

RecorderOptions quick() {
    RecorderOptions options;
    options.commit_every = 1ms;
    options.retry_every = 2ms;
    return options;
}

bool soon(const std::function<bool()>& true_then) {
    for (int i = 0; i < 5000; ++i) {
        if (true_then()) return true;
        std::this_thread::sleep_for(1ms);
    }
    return false;
}

// The whole job 1..count is there and verifies.
void check_whole(const std::string& path, std::int64_t job, std::uint64_t count) {
    Store store = Store::open(path, Mode::write);
    std::string wanted;
    for (std::uint64_t seq = 1; seq <= count; ++seq) append_event_bytes(sample_event(seq), wanted);
    REQUIRE(bytes_of(read_events(store, job)) == wanted);
    REQUIRE(find_job(store, std::to_string(job)).state == JobState::ended);
    const Verification verified = verify(store);
    REQUIRE(verified.findings.empty());
}

// Runs `check` as a user who is not the owner (where that takes a child process, in one). True when it returned true.
bool as_somebody_else(const std::function<bool()>& check) {
    if (::geteuid() != 0) return check();
    const pid_t child = ::fork();
    if (child == 0) {
        bool good = false;
        try {
            good = ::setgid(65534) == 0 && ::setuid(65534) == 0 && check();
        } catch (...) {
        }
        ::_exit(good ? 0 : 1);
    }
    int status = 1;
    ::waitpid(child, &status, 0);
    return WIFEXITED(status) && WEXITSTATUS(status) == 0;
}

}  // namespace

TEST_CASE("the disk fills, or fails, at each write and sync in turn") {
    const auto code = GENERATE(SQLITE_FULL, SQLITE_IOERR_WRITE, SQLITE_IOERR_FSYNC);
    std::int64_t n = 1;
    int told = 0;
    for (bool reached = true; reached; n += n < 60 ? 1 : 7) {
        INFO("code " << code << ", refused from write " << n);
        const Folder folder;
        Disk disk;
        disk.refuse_from(n, code);
        {
            Recorder recorder(folder.file(), sample_set_up(), quick());
            std::uint64_t seq = 0;
            for (int block = 0; block < 12; ++block) {
                for (int i = 0; i < 5; ++i) recorder.add(sample_event(++seq));
                while (!disk.refused() && !recorder.wait_until_recorded(2ms)) {}
            }
            if (disk.refused()) {
                REQUIRE(soon([&] { return recorder.health().state != Recording::on; }));
                const Recorder::Health health = recorder.health();
                REQUIRE_FALSE(health.for_good);
                if (code == SQLITE_FULL && health.state == Recording::stopped && n > 4) {
                    CHECK_THAT(health.detail, Catch::Contains("full") || Catch::Contains("refused"));
                    CHECK_THAT(health.detail, Catch::Contains("wait in memory"));
                }
                const auto change = recorder.take_change();
                REQUIRE(change);
                told += change->state == Recording::stopped;
                disk.heal();
                REQUIRE(soon([&] { return recorder.health().state == Recording::on; }));
                REQUIRE(recorder.take_change());
            }
            reached = disk.refused();
            disk.heal();
            REQUIRE(recorder.finish("by hand", {}));
        }
        check_whole(folder.file(), 1, 60);
    }
    CHECK(n > 60);
    CHECK(told > 40);
}

TEST_CASE("a disk that stays full: the job ends without its record, and says so") {
    const Folder folder;
    Disk disk;
    std::int64_t there = 0;
    {
        Recorder recorder(folder.file(), sample_set_up(), quick());
        recorder.add(sample_event(1));
        REQUIRE(recorder.wait_until_recorded(5s));
        disk.refuse_from(1, SQLITE_FULL);
        for (std::uint64_t seq = 2; seq <= 100; ++seq) recorder.add(sample_event(seq));
        CHECK_FALSE(recorder.finish("by hand", {}, 50ms));
        CHECK_THAT(recorder.health().detail, Catch::Contains("the disk that holds") && Catch::Contains("is full"));
        there = static_cast<std::int64_t>(recorder.committed_seq());
    }
    disk.heal();
    Store store = Store::open(folder.file(), Mode::write);
    CHECK(there == 1);
    CHECK(find_job(store, "1").state == JobState::cut_off);
    CHECK(find_job(store, "1").events == 1);
    CHECK(verify(store).findings.empty());
}

TEST_CASE("memory is bounded: the record ends, never with a gap") {
    const Folder folder;
    Disk disk;
    RecorderOptions options = quick();
    options.most_waiting_bytes = 2000;
    {
        Recorder recorder(folder.file(), sample_set_up(), options);
        disk.refuse_from(1, SQLITE_FULL);
        for (std::uint64_t seq = 1; seq <= 1000; ++seq) recorder.add(sample_event(seq));
        CHECK(recorder.health().waiting_bytes < 2100);
        CHECK(recorder.health().for_good);
        CHECK_THAT(recorder.health().detail, Catch::Contains("the record of this job ends with event"));
        disk.heal();
        CHECK_FALSE(recorder.finish("by hand", Judged{"v1", "nothing-unusual", "sha256:00", "{}"}));
    }
    Store store = Store::open(folder.file(), Mode::write);
    const JobRow job = find_job(store, "1");
    CHECK(job.state == JobState::ended);
    CHECK_THAT(job.ending, Catch::Contains("the record ends earlier"));
    CHECK(job.call == "");  // no judgement of what is not on record
    CHECK(job.events > 20);
    CHECK(job.events < 200);
    std::string wanted;
    for (std::uint64_t seq = 1; seq <= static_cast<std::uint64_t>(job.events); ++seq) append_event_bytes(sample_event(seq), wanted);
    CHECK(bytes_of(read_events(store, 1)) == wanted);
}

TEST_CASE("a disk that stalls never holds up the bench") {
    const Folder folder;
    Disk disk;
    Recorder recorder(folder.file(), sample_set_up());
    disk.sync_takes_ms = 500;
    auto longest = 0ns;
    std::uint64_t seq = 0;
    bool late = false;
    for (const auto start = std::chrono::steady_clock::now(); std::chrono::steady_clock::now() - start < 2500ms;) {
        const Event event = sample_event(++seq);
        const auto before = std::chrono::steady_clock::now();
        recorder.add(event);
        if (seq % 10 == 0) recorder.flush_soon();
        if (const auto change = recorder.take_change()) late = late || change->state == Recording::late;
        longest = std::max(longest, std::chrono::steady_clock::now() - before);
        std::this_thread::sleep_for(2ms);
    }
    CHECK(longest < 250ms);  // half a stall: it did not wait for one, whatever else the machine does
    CHECK_FALSE(late);       // half a second is what slow disks do
    disk.sync_takes_ms = 2300;
    for (int i = 0; i < 1500 && !late; ++i) {
        recorder.add(sample_event(++seq));
        if (const auto change = recorder.take_change()) {
            late = change->state == Recording::late;
            CHECK_THAT(change->detail, Catch::Contains("the disk is slow"));
        }
        std::this_thread::sleep_for(2ms);
    }
    CHECK(late);
    disk.sync_takes_ms = 0;
    CHECK(recorder.finish("by hand", {}));
    CHECK(recorder.health().state == Recording::on);
}

TEST_CASE("a store that can only be read") {
    const Folder folder;
    const std::string path = folder.file();
    {
        Recorder recorder(path, sample_set_up());
        recorder.add(sample_event(1));
        REQUIRE(recorder.finish("by hand", {}));
    }
    ::chmod(path.c_str(), 0444);
    ::chmod(folder.path().c_str(), 0555);
    const std::string before = read_all(path);
    CHECK(as_somebody_else([&] {
        Store store = Store::open(path, Mode::read);
        return list_jobs(store).size() == 1 && read_events(store, 1).size() == 1 && verify(store).findings.empty();
    }));
    CHECK(as_somebody_else([&] {
        Recorder recorder(path, sample_set_up(), quick());
        recorder.add(sample_event(1));
        const Recorder::Health health = recorder.health();
        return health.state == Recording::stopped && health.detail.find(path) != std::string::npos && recorder.job_id().empty();
    }));
    ::chmod(folder.path().c_str(), 0700);
    CHECK(read_all(path) == before);
    int files = 0;
    for (const auto& entry : std::filesystem::directory_iterator(folder.path())) files += entry.path().string().find("damaged") != std::string::npos;
    CHECK(files == 0);
}

TEST_CASE("two programs record into one store at once") {
    const Folder folder;
    const pid_t child = ::fork();
    const auto record = [&](std::uint64_t count) {
        Recorder recorder(folder.file(), sample_set_up(), quick());
        for (std::uint64_t seq = 1; seq <= count; ++seq) {
            recorder.add(sample_event(seq));
            if (seq % 4 == 0) std::this_thread::sleep_for(1ms);
        }
        return recorder.finish("by hand", {}) && !recorder.take_change();
    };
    if (child == 0) ::_exit(record(900) ? 0 : 1);
    CHECK(record(900));
    {
        // Opening, and so marking, while the other is at work does it no harm.
        Store store = Store::open(folder.file(), Mode::write);
        store.add_entry({{}, "note", "Ada", "", "", "{}"});
    }
    int status = 1;
    ::waitpid(child, &status, 0);
    CHECK(WIFEXITED(status));
    CHECK(WEXITSTATUS(status) == 0);
    check_whole(folder.file(), 1, 900);
    check_whole(folder.file(), 2, 900);
}

TEST_CASE("a live job of another program is not marked as cut off; a dead one is") {
    const Folder folder;
    {
        Recorder alive(folder.file(), sample_set_up());
        alive.add(sample_event(1));
        REQUIRE(alive.wait_until_recorded(5s));
        Store store = Store::open(folder.file(), Mode::write);
        CHECK(store.remarks().empty());
        CHECK(find_job(store, "1").state == JobState::running);
    }
    {
        Store reading = Store::open(folder.file(), Mode::read);
        CHECK(find_job(reading, "1").state == JobState::cut_off);  // also before anybody marks it
    }
    Store store = Store::open(folder.file(), Mode::write);
    REQUIRE(store.remarks().size() == 1);
    CHECK_THAT(store.remarks()[0], Catch::Contains("job 1 was cut off") && Catch::Contains("first 1 events"));
}

TEST_CASE("another program keeps the store busy") {
    const Folder folder;
    RecorderOptions options = quick();
    options.late_after = 300ms;
    Recorder recorder(folder.file(), sample_set_up(), options);
    recorder.add(sample_event(1));
    REQUIRE(recorder.wait_until_recorded(5s));
    {
        Database other(folder.file(), Mode::write);
        Transaction hold(other);
        recorder.add(sample_event(2));
        std::this_thread::sleep_for(600ms);
        const auto change = recorder.take_change();
        REQUIRE(change);
        CHECK(change->state == Recording::late);
    }
    CHECK(recorder.wait_until_recorded(5s));
    CHECK(recorder.take_change()->state == Recording::on);
    CHECK(recorder.finish("by hand", {}));
}

TEST_CASE("a store of a newer program is only read") {
    const Folder folder;
    {
        Recorder recorder(folder.file(), sample_set_up());
        recorder.add(sample_event(1));
        REQUIRE(recorder.finish("by hand", {}));
    }
    REQUIRE(sql(folder.file(), "PRAGMA user_version = 99; PRAGMA wal_checkpoint(TRUNCATE)") == "");
    const std::string before = read_all(folder.file());
    {
        Store store = Store::open(folder.file(), Mode::write);
        CHECK(store.read_only());
        REQUIRE(store.remarks().size() == 1);
        CHECK_THAT(store.remarks()[0], Catch::Contains("newer halfturn"));
        CHECK(list_jobs(store).size() == 1);
        CHECK_THROWS_WITH(store.add_entry({1, "note", "", "", "", "{}"}), Catch::Contains("newer halfturn"));
        Recorder recorder(folder.file(), sample_set_up(), quick());
        const Recorder::Health health = recorder.health();
        CHECK(health.state == Recording::stopped);
        CHECK(health.for_good);
        CHECK_THAT(health.detail, Catch::Contains("newer halfturn"));
        CHECK_FALSE(recorder.finish("by hand", {}));
    }
    CHECK(read_all(folder.file()) == before);
}

TEST_CASE("an upgrade goes forward in whole steps, and not at all when a step fails") {
    const Folder folder;
    {
        Store store = Store::open(folder.file(), Mode::write);
        store.add_certificate("cert-1", "{}");
    }
    std::vector<std::string_view> texts = schemas();
    const auto newest = static_cast<std::int64_t>(texts.size());
    texts.push_back("CREATE TABLE later (a INTEGER) STRICT; INSERT INTO later VALUES (7)");
    Database db(folder.file(), Mode::write);
    upgrade(db, texts);
    CHECK(db.number("PRAGMA user_version") == newest + 1);
    CHECK(db.number("SELECT a FROM later") == 7);
    CHECK(db.number("SELECT count(*) FROM certificates") == 1);
    texts.push_back("CREATE TABLE half (a INTEGER) STRICT; this is not SQL");
    CHECK_THROWS_AS(upgrade(db, texts), SqlError);
    CHECK(db.number("PRAGMA user_version") == newest + 1);
    CHECK(db.number("SELECT count(*) FROM sqlite_schema WHERE name = 'half'") == 0);
}

TEST_CASE("a damaged store, each page in turn") {
    const Folder folder;
    const std::string good = folder.file("good.db");
    for (int n = 0; n < 2; ++n) {
        Recorder recorder(good, sample_set_up(), quick());
        for (std::uint64_t seq = 1; seq <= 600; ++seq) {
            recorder.add(sample_event(seq));
            if (seq % 50 == 0) recorder.wait_until_recorded(5s);
        }
        REQUIRE(recorder.finish("by hand", Judged{"v1", "look-closer", "sha256:ab", "{}"}));
    }
    REQUIRE(sql(good, "PRAGMA wal_checkpoint(TRUNCATE)") == "");
    const std::string bytes = read_all(good);
    const std::size_t pages = bytes.size() / 4096;
    REQUIRE(bytes.size() % 4096 == 0);
    REQUIRE(pages > 20);
    int moved = 0, noticed = 0;
    for (std::size_t page = 0; page < pages; ++page) {
        for (const bool garbage : {false, true}) {
            INFO("page " << page + 1 << (garbage ? ", garbage" : ", zeros"));
            const Folder place;
            std::string damaged = bytes;
            for (std::size_t i = 0; i < 4096; ++i)
                damaged[page * 4096 + i] = garbage ? static_cast<char>((i * 2654435761u + page) >> 7) : '\0';
            write_all(place.file(), damaged);
            // Whoever only reads gets a message, and changes nothing.
            bool seen = false;
            try {
                Store reading = Store::open(place.file(), Mode::read);
                seen = !verify(reading).findings.empty();
            } catch (const std::exception& error) {
                seen = true;
                CHECK(std::string(error.what()).find(place.file()) != std::string::npos);
            }
            CHECK(read_all(place.file()) == damaged);
            noticed += seen;
            // The bench goes on: into this store where SQLite can, else into a new one beside the old.
            Recorder recorder(place.file(), sample_set_up(), quick());
            recorder.add(sample_event(1));
            const bool finished = recorder.finish("by hand", {});
            const Recorder::Health health = recorder.health();
            if (!finished) CHECK_THAT(health.detail, Catch::Contains("damaged"));
            std::string aside;
            for (const auto& entry : std::filesystem::directory_iterator(place.path()))
                if (const std::string name = entry.path().filename().string();
                    name.find(".damaged-") != std::string::npos && name.find("-wal") == std::string::npos && name.find("-shm") == std::string::npos)
                    aside = entry.path().string();
            if (aside.empty()) continue;
            ++moved;
            CHECK(finished);
            CHECK(read_all(aside) == damaged);  // nothing good destroyed
            REQUIRE_FALSE(recorder.remarks().empty());
            CHECK_THAT(recorder.remarks().back(), Catch::Contains(aside));
        }
    }
    WARN(pages << " pages: damage noticed in " << noticed << " of " << 2 * pages << " cases, moved aside in " << moved);
    CHECK(moved >= 8);
    CHECK(noticed >= static_cast<int>(2 * pages) - 4);
}

TEST_CASE("a store that became empty keeps what its WAL still holds") {
    const Folder folder;
    std::string wal;
    {
        Recorder recorder(folder.file(), sample_set_up());
        recorder.add(sample_event(1));
        REQUIRE(recorder.wait_until_recorded(5s));
        wal = read_all(folder.file() + "-wal");
    }
    REQUIRE(wal.size() > 4096);
    write_all(folder.file(), "");
    write_all(folder.file() + "-wal", wal);
    Store store = Store::open(folder.file(), Mode::write);
    REQUIRE(store.remarks().size() == 1);
    CHECK_THAT(store.remarks()[0], Catch::Contains("had become empty"));
    bool kept = false;
    for (const auto& entry : std::filesystem::directory_iterator(folder.path())) kept = kept || read_all(entry.path().string()) == wal;
    CHECK(kept);
    CHECK(list_jobs(store).empty());
}

TEST_CASE("the store is moved away or removed in mid-job") {
    const Folder folder;
    Recorder recorder(folder.file(), sample_set_up(), quick());
    recorder.add(sample_event(1));
    REQUIRE(recorder.wait_until_recorded(5s));
    const bool removed = GENERATE(false, true);
    if (removed) std::filesystem::remove(folder.file());
    else std::filesystem::rename(folder.file(), folder.file("elsewhere.db"));
    recorder.add(sample_event(2));
    REQUIRE(soon([&] { return recorder.health().for_good; }));
    const auto change = recorder.take_change();
    REQUIRE(change);
    CHECK(change->state == Recording::stopped);
    CHECK_THAT(change->detail, Catch::Contains("moved away or removed") && Catch::Contains("ends with event 1"));
    recorder.add(sample_event(3));  // goes on without a word
    CHECK_FALSE(recorder.finish("by hand", {}));
    // The next job gets a store again, though the first recorder still holds its job's lock.
    Recorder next(folder.file(), sample_set_up(), quick());
    next.add(sample_event(1));
    CHECK(next.finish("by hand", {}));
}

TEST_CASE("a folder that can't be made, a file in the way") {
    const Folder folder;
    write_all(folder.file("file"), "x");
    Recorder recorder(folder.file("file/bench.db"), sample_set_up(), quick());
    CHECK(recorder.health().state == Recording::stopped);
    CHECK_THAT(recorder.health().detail, Catch::Contains("not a folder"));
    CHECK_THROWS_AS(Store::open(folder.file("nothing.db"), Mode::read), BadInput);
    CHECK_THROWS_AS(Store::open(folder.path().string(), Mode::read), BadInput);
}

namespace {
struct Comma : std::numpunct<char> {
    char do_decimal_point() const override { return ','; }
    char do_thousands_sep() const override { return '.'; }
    std::string do_grouping() const override { return "\3"; }
};
}  // namespace

TEST_CASE("a comma locale changes nothing") {
    const std::string plain = set_up_json(sample_set_up());
    const std::locale before = std::locale::global(std::locale(std::locale::classic(), new Comma));
    for (const char* name : {"de_DE.UTF-8", "fr_FR.UTF-8", "de_DE", "fr_FR"})
        if (std::setlocale(LC_ALL, name) != nullptr) break;
    const Folder folder;
    {
        Recorder recorder(folder.file(), sample_set_up(), quick());
        for (std::uint64_t seq = 1; seq <= 2000; ++seq) recorder.add(sample_event(seq));
        CHECK(recorder.finish("by hand", {}));
    }
    CHECK(set_up_json(sample_set_up()) == plain);
    Store store = Store::open(folder.file(), Mode::read);
    CHECK(set_up_json(read_set_up(store, 1)) == plain);
    CHECK(verify(store).findings.empty());
    CHECK(find_job(store, "1").events == 2000);
    std::locale::global(before);
    std::setlocale(LC_ALL, "C");
}
