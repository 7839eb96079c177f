// Stores that are read-only, shared with another program, moved away or in no place to be: a clear message, and the bench
// goes on.
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <catch2/catch.hpp>
#include <functional>
#include <thread>

#include "record/bench.hpp"
#include "record/reader.hpp"
#include "record/recorder.hpp"
#include "record/verify.hpp"

using namespace halfturn;
using namespace halfturn::record;
using namespace halfturn::test;
using namespace std::chrono_literals;

namespace {

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
    for (const auto& entry : std::filesystem::directory_iterator(folder.path()))
        files += entry.path().string().find("damaged") != std::string::npos;
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
