// Disks that fill or fail at every write, stay full, or stall: the bench goes on, and what is recorded has no gap.
#include <sqlite3.h>

#include <algorithm>
#include <catch2/catch.hpp>
#include <thread>

#include "record/bench.hpp"
#include "record/disk.hpp"
#include "record/reader.hpp"
#include "record/recorder.hpp"
#include "record/verify.hpp"

using namespace halfturn;
using namespace halfturn::record;
using namespace halfturn::test;
using namespace std::chrono_literals;

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
