// Stores of older programs are brought forward whole and keep what they promised; those of newer ones are only read.
#include <catch2/catch.hpp>

#include "record/bench.hpp"
#include "record/reader.hpp"
#include "record/recorder.hpp"
#include "record/rejudge.hpp"
#include "record/sample_store.hpp"
#include "record/schema.hpp"
#include "record/verify.hpp"

using namespace halfturn;
using namespace halfturn::record;
using namespace halfturn::test;
using namespace std::chrono_literals;

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

// tests/record/stores/schema_N.db: a practice job kept by the program of that time (see the note there).
TEST_CASE("a store of every older schema comes forward and keeps every promise") {
    const int schema = GENERATE(range(1, static_cast<int>(schemas().size())));
    const Folder folder;
    const std::string old = read_all(HALFTURN_TESTS_DIR "/record/stores/schema_" + std::to_string(schema) + ".db");
    REQUIRE(old.size() > 4096);
    write_all(folder.file(), old);
    std::string head, set_up, judged, events;
    {
        // Read as it is: nothing is changed by looking.
        Store store = Store::open(folder.file(), Mode::read);
        INFO("schema " << schema);
        REQUIRE(store.database().number("PRAGMA user_version") == schema);
        CHECK(verify(store).findings.empty());
        head = store.head();
        set_up = read_set_up_json(store, 1);
        events = bytes_of(read_events(store, 1));
        judged = read_judgements(store, 1).at(0).judged.fingerprint;
        CHECK_FALSE(has_samples(store, 1));
        JobSamples samples(store, find_job(store, "1"));
        CHECK(samples.extent(0).samples > 100);
    }
    CHECK(read_all(folder.file()) == old);
    {
        Store store = Store::open(folder.file(), Mode::write);
        CHECK(store.remarks().empty());
        CHECK(store.database().number("PRAGMA user_version") == static_cast<std::int64_t>(schemas().size()));
        CHECK(store.head() == head);
        CHECK(read_set_up_json(store, 1) == set_up);
        CHECK(bytes_of(read_events(store, 1)) == events);
        const JobRow job = find_job(store, "1");
        const Rejudged again = judge_again(store, job);
        CHECK(again.before.at(0).judged.fingerprint == judged);
        CHECK(again.agreement == (again.before.at(0).judged.judge == again.now.judge ? Agreement::same : Agreement::new_version));
        CHECK(store.head() == head);
        make_samples(store, job);
        CHECK(has_samples(store, 1));
        CHECK(store.head() == head);
        const Verification verified = verify(store, head);
        CHECK(verified.findings.empty());
        CHECK(verified.kept_head_at);
    }
    // And the bench goes on in it.
    Recorder recorder(folder.file(), sample_set_up(), quick());
    recorder.add(sample_event(1));
    CHECK(recorder.finish("by hand", {}));
    Store store = Store::open(folder.file(), Mode::read);
    CHECK(verify(store, head).findings.empty());
    CHECK(list_jobs(store).size() == 2);
}

TEST_CASE("there is a kept store of every schema before this one") {
    for (std::size_t schema = 1; schema < schemas().size(); ++schema) {
        INFO("after a new schema: keep a store of the last one as tests/record/stores/schema_" << schema << ".db");
        CHECK(std::filesystem::exists(HALFTURN_TESTS_DIR "/record/stores/schema_" + std::to_string(schema) + ".db"));
    }
}
