// What was acknowledged as recorded is there after power loss: at every sync, over many ways a disk can lose what was not
// yet synced. (Modelled after the crash tests SQLite runs on itself; see sqlite.org/testing.html, section 3.3.)
#include <catch2/catch.hpp>

#include "record/bench.hpp"
#include "record/disk.hpp"
#include "record/reader.hpp"
#include "record/store.hpp"
#include "record/verify.hpp"

using namespace halfturn;
using namespace halfturn::record;
using namespace halfturn::test;

namespace {

// What an acknowledgement means: job * 1000000 + last seq on record; 999999: the job's end.
constexpr std::int64_t per_job = 1000000, end_mark = 999999;

// A store is made; a job runs and ends; one is cut off and found so; another runs; a log is kept; entries between. `weight` makes blocks
// longer; the small WAL makes checkpoints come often.
void work(const std::string& path, Disk& disk, std::uint64_t weight) {
    std::uint64_t seq = 0;
    const auto block = [&](Store& store, OpenJob& job, std::uint64_t count) {
        std::string events;
        for (std::uint64_t i = 0; i < count; ++i) append_event_bytes(sample_event(++seq), events);
        store.add_block(job, events);
        disk.acknowledged(job.number * per_job + static_cast<std::int64_t>(seq));
    };
    {
        Store store = Store::open(path, Mode::write);
        store.database().execute("PRAGMA wal_autocheckpoint = 12");
        OpenJob job = store.begin_job(sample_set_up(), Origin::live);
        disk.acknowledged(job.number * per_job);
        for (std::uint64_t i = 0; i < 14; ++i) block(store, job, 1 + i % 5 * weight);
        store.end_job(job, "by hand", Judged{"v1", "look-closer", "sha256:ab", "{}"});
        disk.acknowledged(job.number * per_job + end_mark);
        store.add_entry({1, "note", "Ada", "", "", "{}"});
        seq = 0;
        OpenJob cut = store.begin_job(sample_set_up(), Origin::live);
        disk.acknowledged(cut.number * per_job);
        for (std::uint64_t i = 0; i < 6; ++i) block(store, cut, 3 * weight);
    }
    Store store = Store::open(path, Mode::write);
    seq = 0;
    OpenJob job = store.begin_job({}, Origin::live);
    disk.acknowledged(job.number * per_job);
    for (std::uint64_t i = 0; i < 4; ++i) block(store, job, 2 * weight);
    store.end_job(job, "by hand", {});
    disk.acknowledged(job.number * per_job + end_mark);

    // A log is promised with its end.
    seq = 0;
    OpenJob log = store.begin_job({}, Origin::log);
    disk.acknowledged(log.number * per_job);
    store.sync_each_commit(false);
    for (std::uint64_t i = 0; i < 9; ++i) {
        std::string events;
        for (std::uint64_t k = 0; k < 2 * weight; ++k) append_event_bytes(sample_event(++seq), events);
        store.add_block(log, events);
    }
    store.sync_each_commit(true);
    store.end_job(log, "end of the log", {});
    disk.acknowledged(log.number * per_job + static_cast<std::int64_t>(seq));
    disk.acknowledged(log.number * per_job + end_mark);
    store.add_entry({1, "note", "Ada", "", "", "{}"});
}

// Opens what is left and compares it with what was promised before. Returns what is wrong; empty: nothing.
std::string wrong_with(const std::string& path, const std::vector<DiskOp>& ops, std::size_t at) {
    std::map<std::int64_t, std::int64_t> promised;  // job -> events
    std::map<std::int64_t, bool> ended;
    for (std::size_t i = 0; i < at; ++i) {
        if (ops[i].kind != DiskOp::Kind::acknowledged) continue;
        const std::int64_t job = ops[i].offset / per_job, what = ops[i].offset % per_job;
        if (what == end_mark) ended[job] = true;
        else promised[job] = what;
    }
    try {
        Store store = Store::open(path, Mode::write);
        for (const std::string& remark : store.remarks())
            if (remark.find("cut off") == std::string::npos) return remark;
        for (const auto& [number, events] : promised) {
            const JobRow job = find_job(store, std::to_string(number));
            if (job.state == JobState::running) return "job " + std::to_string(number) + " still reads as running";
            if (ended[number] && job.state != JobState::ended) return "the end of job " + std::to_string(number) + " is lost";
            if (job.events < events)
                return "job " + std::to_string(number) + ": " + std::to_string(events) + " events promised, " +
                       std::to_string(job.events) + " there";
            std::uint64_t seq = 0;
            std::string odd;
            for_each_event(store, number, [&](const Event& event) {
                ++seq;
                if (bytes_of(event) != bytes_of(sample_event(seq))) odd = "event " + std::to_string(seq) + " is another one";
                return odd.empty();
            });
            if (!odd.empty()) return odd;
        }
        const Verification verified = verify(store);
        if (!verified.findings.empty())
            return verified.findings[0].table + " " + std::to_string(verified.findings[0].row) + ": " + verified.findings[0].says;
        OpenJob next = store.begin_job({}, Origin::live);  // and it can be gone on with
        store.add_block(next, bytes_of(sample_event(1)));
        store.end_job(next, "", {});
    } catch (const std::exception& error) {
        return error.what();
    }
    return {};
}

void lose_power_everywhere(std::uint64_t seeds, std::uint64_t weight) {
    std::vector<DiskOp> ops;
    {
        const Folder folder;
        Disk disk;
        disk.remember();
        work(folder.file(), disk, weight);
        ops = disk.ops();
    }
    std::size_t syncs = 0, cases = 0, checkpoints = 0;
    for (std::size_t at = 0; at < ops.size(); ++at) {
        if (ops[at].kind != DiskOp::Kind::sync) continue;
        ++syncs;
        checkpoints += ops[at].file == "bench.db";
        for (std::uint64_t seed = 0; seed < seeds; ++seed) {
            const Folder folder;
            for (const auto& [name, content] : after_power_loss(ops, at, seed)) write_all(folder.file(name), content);
            const std::string wrong = wrong_with(folder.file(), ops, at);
            ++cases;
            INFO("sync point " << syncs << " (op " << at << "), seed " << seed);
            REQUIRE(wrong == "");
        }
    }
    CHECK(syncs > 40);
    CHECK(checkpoints > 5);
    WARN(cases << " power losses at " << syncs << " sync points, " << checkpoints << " of them in checkpoints: nothing promised was lost");
}

}  // namespace

TEST_CASE("what was acknowledged is there after power loss", "[P2]") { lose_power_everywhere(20, 1); }

TEST_CASE("what was acknowledged is there after power loss, long", "[.long]") {
    lose_power_everywhere(250, 1);
    lose_power_everywhere(50, 40);
}

TEST_CASE("the power-loss test can fail") {
    // Without syncs the same losses must be noticed, else the test proves nothing.
    std::vector<DiskOp> ops;
    {
        const Folder folder;
        Disk disk;
        disk.remember();
        work(folder.file(), disk, 1);
        ops = disk.ops();
    }
    std::vector<DiskOp> unsynced;
    std::size_t seen = 0;
    for (const DiskOp& op : ops)
        if (op.kind != DiskOp::Kind::sync || op.file != "bench.db-wal" || ++seen < 3) unsynced.push_back(op);
    int noticed = 0;
    for (std::size_t at = unsynced.size() / 2; at < unsynced.size(); at += 7) {
        const Folder folder;
        for (const auto& [name, content] : after_power_loss(unsynced, at, at)) write_all(folder.file(name), content);
        noticed += !wrong_with(folder.file(), unsynced, at).empty();
    }
    CHECK(noticed > 5);
}
