// Triggers refuse changes; whoever gets round them is found out, and what was altered is named.
#include <catch2/catch.hpp>

#include "record/bench.hpp"
#include "record/reader.hpp"
#include "record/store.hpp"
#include "record/verify.hpp"

using namespace halfturn;
using namespace halfturn::record;
using namespace halfturn::test;

namespace {

// Three jobs (one cut off), two judgements, an entry, a certificate, a photo.
void fill(const std::string& path) {
    std::uint64_t seq = 0;
    {
        Store store = Store::open(path, Mode::write);
        for (int n = 0; n < 2; ++n) {
            OpenJob job = store.begin_job(sample_set_up(), Origin::live);
            seq = 0;
            for (int block = 0; block < 4; ++block) {
                std::string events;
                for (int i = 0; i < 5; ++i) {
                    Event event = sample_event(++seq);
                    event.at += n;  // no two jobs alike
                    append_event_bytes(event, events);
                }
                store.add_block(job, events);
            }
            store.end_job(job, "by hand", Judged{"v1", "look-closer", "sha256:ab", "{}"});
        }
        store.add_entry({1, "sign-off", "Ada", "wheel", "left", R"({"text":"fine"})"});
        store.add_certificate("cert-1", "{}");
        store.add_photo("\xFF\xD8\xFF a photo's bytes");
        OpenJob cut = store.begin_job({}, Origin::live);
        store.add_block(cut, bytes_of(sample_event(1)));
    }
    Store::open(path, Mode::write);
}

// Drops every trigger, runs the change, puts the triggers back, as a determined owner of the file would.
void behind_the_triggers(const std::string& path, const std::string& change) {
    std::string drop, make;
    {
        Database db(path, Mode::read);
        Statement list(db, "SELECT name, sql FROM sqlite_schema WHERE type = 'trigger'");
        while (list.row()) {
            drop += "DROP TRIGGER " + list.copy(0) + ";";
            make += list.copy(1) + ";";
        }
    }
    REQUIRE(sql(path, "BEGIN;" + drop + change + ";" + make + "COMMIT;") == "");
}

Verification verified(const std::string& path, const std::string& head = {}) {
    Store store = Store::open(path, Mode::read);
    return verify(store, head);
}

}  // namespace

TEST_CASE("an untouched store verifies") {
    const Folder folder;
    fill(folder.file());
    const Verification result = verified(folder.file());
    for (const Finding& finding : result.findings) FAIL_CHECK(finding.table << " " << finding.row << ": " << finding.says);
    CHECK(result.jobs == 3);
    CHECK(result.blocks == 9);
    CHECK(result.events == 41);
    CHECK(result.links == 1 + 2 * 4 + 2 + 2 + 1 + 1);
    CHECK(result.head.size() == 64);
}

TEST_CASE("triggers refuse every change, also by INSERT OR REPLACE") {
    const Folder folder;
    const std::string path = folder.file();
    fill(path);
    const std::string before = verified(path).head;
    for (const char* attempt : {
             "UPDATE event_blocks SET events = x'00' WHERE job = 1",
             "DELETE FROM event_blocks",
             "INSERT OR REPLACE INTO event_blocks SELECT job, number, first_seq, last_seq, first_ns, last_ns, x'00', hash FROM event_blocks",
             "REPLACE INTO set_ups VALUES (1, '{}')",
             "INSERT INTO event_blocks VALUES (1, 5, 21, 21, 0, 0, x'00', x'00')",
             "UPDATE set_ups SET json = '{}'",
             "DELETE FROM set_ups",
             "UPDATE jobs SET item = 'other'",
             "UPDATE jobs SET state = 'running'",
             "UPDATE jobs SET ending = 'fine'",
             "DELETE FROM jobs",
             "REPLACE INTO jobs SELECT * FROM jobs",
             "UPDATE judgements SET call = 'nothing-unusual'",
             "DELETE FROM judgements",
             "REPLACE INTO judgements SELECT * FROM judgements",
             "UPDATE entries SET who = 'Eve'",
             "DELETE FROM entries",
             "REPLACE INTO entries SELECT * FROM entries",
             "UPDATE certificates SET json = '{\"a\":1}'",
             "DELETE FROM certificates",
             "REPLACE INTO certificates SELECT * FROM certificates",
             "UPDATE photos SET bytes = x'00'",
             "DELETE FROM photos",
             "REPLACE INTO photos SELECT * FROM photos",
             "UPDATE chain SET at_utc_ms = 0",
             "DELETE FROM chain",
             "REPLACE INTO chain SELECT * FROM chain",
             "UPDATE store SET bench_id = 'x'",
             "DELETE FROM store",
             "REPLACE INTO store SELECT * FROM store",
         }) {
        INFO(attempt);
        CHECK(sql(path, attempt) != "");
    }
    CHECK(verified(path).findings.empty());
    CHECK(verified(path).head == before);
}

TEST_CASE("any altered value of any row is named") {
    const Folder folder;
    fill(folder.file("good.db"));
    const std::string good = folder.file("good.db");
    // Out of WAL mode: one file, quick to copy.
    REQUIRE(sql(good, "PRAGMA wal_checkpoint(TRUNCATE)") == "");
    const std::string bytes = read_all(good);
    struct Place { std::string table, key, column, type; std::int64_t rowid, row; };
    std::vector<Place> places;
    {
        Database db(good, Mode::read);
        for (const auto& [table, key] : std::vector<std::pair<std::string, std::string>>{
                 {"store", "id"}, {"jobs", "number"}, {"set_ups", "job"}, {"event_blocks", "number"}, {"judgements", "id"},
                 {"entries", "id"}, {"certificates", "id"}, {"photos", "id"}, {"chain", "number"}}) {
            Statement columns(db, "SELECT name, type FROM pragma_table_info('" + table + "')");
            while (columns.row()) {
                Statement rows(db, "SELECT rowid, " + key + " FROM " + table);
                while (rows.row())
                    places.push_back({table, key, columns.copy(0), columns.copy(1), rows.integer(0), rows.integer(1)});
            }
        }
    }
    CHECK(places.size() > 240);
    const std::string path = folder.file("tampered.db");
    int tried = 0;
    for (const Place& place : places) {
        const std::string& c = place.column;
        std::string value = "CASE WHEN " + c + " IS NULL THEN 1 ELSE " + c + " + 1000 END";
        if (place.type == "TEXT") value = "CASE WHEN " + c + " IS NULL THEN 'x' ELSE " + c + " || ' ' END";
        if (place.type == "BLOB")
            value = "CAST(substr(" + c + ", 1, length(" + c + ") - 1) || CASE hex(substr(" + c +
                    ", -1)) WHEN '01' THEN x'02' ELSE x'01' END AS BLOB)";
        if (place.table == "jobs" && c == "state") value = "CASE state WHEN 'ended' THEN 'cut-off' ELSE 'ended' END";
        if (place.table == "jobs" && c == "origin") value = "'log'";
        if (place.table == "jobs" && c == "work") value = "CASE work WHEN 'in' THEN 'out' ELSE 'in' END";
        if (place.table == "jobs" && c == "practice") value = "1 - practice";
        if (place.table == "jobs" && c == "clock_synchronised") value = "CASE WHEN clock_synchronised IS NULL THEN 1 ELSE NULL END";
        if (place.table == "entries" && c == "kind") value = "'note'";
        if (c == "media_type") value = "'image/png'";
        if (place.table == "store" && c == "id") continue;  // can only be 1
        write_all(path, bytes);
        INFO(place.table << " row " << place.row << " column " << c);
        behind_the_triggers(path, "UPDATE " + place.table + " SET " + c + " = " + value + " WHERE rowid = " + std::to_string(place.rowid));
        const Verification result = verified(path);
        REQUIRE_FALSE(result.findings.empty());
        const bool renumbered = c == place.key || (place.table == "event_blocks" && c == "job") || (place.table == "set_ups" && c == "job");
        if (!renumbered) {
            // This row is named, and no other is accused.
            for (const Finding& finding : result.findings) {
                CHECK(finding.table == place.table);
                CHECK(finding.row == place.row);
            }
            if (place.table == "event_blocks") CHECK(result.findings[0].job);
        }
        ++tried;
    }
    CHECK(tried > 240);
}

TEST_CASE("each byte of an event block counts") {
    const Folder folder;
    fill(folder.file("good.db"));
    const std::string good = folder.file("good.db");
    REQUIRE(sql(good, "PRAGMA wal_checkpoint(TRUNCATE)") == "");
    const std::string bytes = read_all(good);
    const std::string path = folder.file("tampered.db");
    std::string block;
    for (std::uint64_t seq = 6; seq <= 10; ++seq) append_event_bytes(sample_event(seq), block);
    const std::size_t at = bytes.find(block);
    REQUIRE(at != std::string::npos);
    for (std::size_t i = 0; i < block.size(); ++i) {
        // Straight into the file's bytes, past SQLite.
        std::string tampered = bytes;
        tampered[at + i] = static_cast<char>(tampered[at + i] ^ (1 << (i % 8)));
        write_all(path, tampered);
        const Verification result = verified(path);
        REQUIRE(result.findings.size() == 1);
        CHECK(result.findings[0].table == "event_blocks");
        CHECK(result.findings[0].row == 2);
        CHECK(result.findings[0].job == 1);
    }
}

TEST_CASE("rows taken out or put in, triggers dropped, a chain rebuilt") {
    const Folder folder;
    const std::string path = folder.file();
    fill(path);
    const std::string head = verified(path).head;
    const auto one_finding = [&](const std::string& change) {
        behind_the_triggers(path, change);
        const Verification result = verified(path);
        REQUIRE_FALSE(result.findings.empty());
        return result.findings[0];
    };
    SECTION("a block in the middle") {
        const Finding finding = one_finding("DELETE FROM event_blocks WHERE job = 2 AND number = 3");
        CHECK(finding.job == 2);
        CHECK(finding.says == "block 3 is missing");
    }
    SECTION("the last blocks") {
        CHECK(one_finding("DELETE FROM event_blocks WHERE job = 2 AND number > 2").says == "blocks 3 to 4 are missing");
    }
    SECTION("a whole job with its links") {
        const Finding finding = one_finding(
            "DELETE FROM chain WHERE row = 2 AND kind IN ('job-started', 'set-up', 'job-ended'); DELETE FROM event_blocks WHERE "
            "job = 2; DELETE FROM set_ups WHERE job = 2; DELETE FROM judgements WHERE job = 2; DELETE FROM jobs WHERE number = 2");
        CHECK(finding.table == "chain");
    }
    SECTION("a row put in") {
        CHECK(one_finding("INSERT INTO certificates VALUES (2, 'cert-2', 0, '{}')").table == "certificates");
    }
    SECTION("a link of the chain") { CHECK(one_finding("DELETE FROM chain WHERE number = 4").says == "link 4 is missing"); }
    SECTION("a trigger") {
        REQUIRE(sql(path, "DROP TRIGGER set_ups_stay_u") == "");
        const Verification result = verified(path);
        REQUIRE(result.findings.size() == 1);
        CHECK(result.findings[0].says == "the trigger set_ups_stay_u is missing");
    }
    SECTION("a view that hides rows") {
        REQUIRE(sql(path, "CREATE VIEW mine AS SELECT 1") == "");
        CHECK(verified(path).findings.size() == 1);
    }
    SECTION("the end of the chain cut off: only a head kept elsewhere shows it") {
        behind_the_triggers(path,
                            "DELETE FROM chain WHERE kind IN ('certificate', 'photo'); DELETE FROM certificates; DELETE FROM photos; "
                            "DELETE FROM chain WHERE row = 3; DELETE FROM event_blocks WHERE job = 3; DELETE FROM set_ups WHERE "
                            "job = 3; DELETE FROM jobs WHERE number = 3");
        CHECK(verified(path).findings.empty());
        CHECK(verified(path, head).findings.size() == 1);
    }
}

TEST_CASE("a head kept elsewhere") {
    const Folder folder;
    const std::string path = folder.file();
    fill(path);
    const std::string old_head = verified(path).head;
    {
        Store store = Store::open(path, Mode::write);
        store.add_entry({1, "note", "Ada", "", "", "{}"});
    }
    CHECK(verified(path, old_head).findings.empty());
    CHECK(verified(path, "sha256:" + old_head).kept_head_at == verified(path).links - 1);
    CHECK(verified(path, verified(path).head).kept_head_at == verified(path).links);
    CHECK(verified(path, std::string(64, '0')).findings.size() == 1);
    CHECK_THROWS_AS(verified(path, "12ab"), BadInput);
    CHECK_THROWS_AS(verified(path, std::string(64, 'g')), BadInput);
}
