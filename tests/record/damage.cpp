// Damaged stores: each page in turn, and a file that lost its contents. Nothing good is destroyed, and the next job is kept.
#include <catch2/catch.hpp>

#include "record/bench.hpp"
#include "record/reader.hpp"
#include "record/recorder.hpp"
#include "record/verify.hpp"

using namespace halfturn;
using namespace halfturn::record;
using namespace halfturn::test;
using namespace std::chrono_literals;

// A note or a new judgement has nothing to say to a store that is not there, or to a file that is none.
TEST_CASE("adding to what is there makes no store and moves no file") {
    const Folder folder;
    const auto open = [&] { Store::open(folder.file(), Mode::add_to); };
    CHECK_THROWS_WITH(open(), Catch::Contains("there is no store at"));
    CHECK(std::filesystem::is_empty(folder.path()));
    write_all(folder.file(), "");
    CHECK_THROWS_WITH(open(), Catch::Contains("is empty"));
    const std::string other = "a letter, not a database";
    write_all(folder.file(), other);
    CHECK_THROWS_WITH(open(), Catch::Contains("damaged") && Catch::Contains("the next job will keep it aside"));
    CHECK(read_all(folder.file()) == other);
    for (const auto& entry : std::filesystem::directory_iterator(folder.path()))
        CHECK(entry.path().string().find(".damaged-") == std::string::npos);
    std::filesystem::remove(folder.file());
    Store::open(folder.file(), Mode::write);
    CHECK_FALSE(Store::open(folder.file(), Mode::add_to).read_only());
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
                if (const std::string name = entry.path().filename().string(); name.find(".damaged-") != std::string::npos &&
                                                                               name.find("-wal") == std::string::npos &&
                                                                               name.find("-shm") == std::string::npos)
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
