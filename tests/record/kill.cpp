// kill -9 of a recording program at random moments: the store opens, what was acknowledged is there, at most the last
// 100 ms are missing, the job is marked as cut off.
#include <sys/mman.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <atomic>
#include <catch2/catch.hpp>
#include <csignal>
#include <ctime>
#include <random>
#include <thread>

#include "record/bench.hpp"
#include "record/reader.hpp"
#include "record/recorder.hpp"
#include "record/verify.hpp"

using namespace halfturn;
using namespace halfturn::record;
using namespace halfturn::test;

namespace {

std::int64_t monotonic_ns() {
    timespec now{};
    clock_gettime(CLOCK_MONOTONIC, &now);
    return now.tv_sec * 1'000'000'000 + now.tv_nsec;
}

// Lives in memory shared with the child, and so outlives it.
struct Shared {
    static constexpr std::size_t most = 4096;
    std::atomic<std::int64_t> job;            // number of the job now being recorded
    std::atomic<std::uint64_t> added, committed;
    std::atomic<std::int64_t> finished;       // jobs whose end was acknowledged
    std::atomic<std::int64_t> added_at[most];
};

// Jobs of 150 events, one a millisecond, one after another, until somebody pulls the plug.
[[noreturn]] void record_for_ever(const std::string& path, Shared& shared) {
    while (true) {
        Recorder recorder(path, sample_set_up());
        shared.added = 0;
        shared.committed = 0;
        shared.job = recorder.job_number();
        for (std::uint64_t seq = 1; seq <= 150; ++seq) {
            shared.added_at[seq] = monotonic_ns();
            recorder.add(sample_event(seq));
            shared.added = seq;
            if (seq % 40 == 0) recorder.flush_soon();
            shared.committed = recorder.committed_seq();
            std::this_thread::sleep_for(std::chrono::milliseconds(1));
        }
        if (recorder.finish("by hand", Judged{"v1", "nothing-unusual", "sha256:00", "{}"})) shared.finished = shared.job.load();
        shared.job = 0;
    }
}

void kill_often(int times) {
    const Folder folder;
    auto* memory = ::mmap(nullptr, sizeof(Shared), PROT_READ | PROT_WRITE, MAP_SHARED | MAP_ANONYMOUS, -1, 0);
    REQUIRE(memory != MAP_FAILED);
    auto& shared = *new (memory) Shared;
    std::mt19937 random(7);
    std::vector<double> missing_ms;
    int cut_off = 0;
    for (int i = 0; i < times; ++i) {
        shared.job = 0;
        shared.finished = 0;
        const pid_t child = ::fork();
        REQUIRE(child >= 0);
        if (child == 0) record_for_ever(folder.file(), shared);
        std::this_thread::sleep_for(std::chrono::microseconds(random() % 260'000));
        const std::int64_t killed_at = monotonic_ns();
        ::kill(child, SIGKILL);
        ::waitpid(child, nullptr, 0);

        INFO("kill " << i);
        const std::int64_t job = shared.job, finished = shared.finished;
        Store store = Store::open(folder.file(), Mode::write);
        for (const std::string& remark : store.remarks()) REQUIRE_THAT(remark, Catch::Contains("was cut off"));
        for (const JobRow& row : list_jobs(store)) REQUIRE(row.state != JobState::running);
        if (finished > 0) {
            REQUIRE(find_job(store, std::to_string(finished)).state == JobState::ended);
            REQUIRE(read_judgements(store, finished).size() == 1);
        }
        if (job == 0) continue;
        const JobRow row = find_job(store, std::to_string(job));
        const auto there = static_cast<std::uint64_t>(row.events);
        const std::uint64_t committed = shared.committed, added = shared.added;
        REQUIRE(there >= committed);
        cut_off += row.state == JobState::cut_off;
        std::uint64_t seq = 0;
        for_each_event(store, job, [&](const Event& event) {
            ++seq;
            REQUIRE(bytes_of(event) == bytes_of(sample_event(seq)));
            return true;
        });
        REQUIRE(seq == there);
        if (there < added) missing_ms.push_back(static_cast<double>(killed_at - shared.added_at[there + 1]) / 1e6);
    }
    Store store = Store::open(folder.file(), Mode::write);
    CHECK(verify(store).findings.empty());
    CHECK(cut_off > times / 4);
    std::sort(missing_ms.begin(), missing_ms.end());
    REQUIRE_FALSE(missing_ms.empty());
    const auto within = std::count_if(missing_ms.begin(), missing_ms.end(), [](double ms) { return ms <= 100; });
    WARN(times << " kills, " << cut_off << " jobs cut off; most missing: " << missing_ms.back() << " ms");
    // On a machine busy with other things a thread may wake late; that is not the disk, and not often.
    CHECK(static_cast<double>(within) >= 0.9 * static_cast<double>(missing_ms.size()));
    CHECK(missing_ms.back() < 1000);
    ::munmap(memory, sizeof(Shared));
}

}  // namespace

TEST_CASE("kill -9 at random moments") { kill_often(50); }
TEST_CASE("kill -9 at random moments, long", "[.long]") { kill_often(1000); }
