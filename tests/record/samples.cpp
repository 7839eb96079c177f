// A job's compact samples: the same live and from the events, readable by the program and by plain SQL, and no part of the
// record: without them, or with them damaged, nothing is lost.
#include <sqlite3.h>

#include <catch2/catch.hpp>
#include <cmath>
#include <random>
#include <thread>

#include "core/number_text.hpp"
#include "record/bench.hpp"
#include "record/disk.hpp"
#include "record/recorder.hpp"
#include "record/sample_store.hpp"
#include "record/verify.hpp"
#include "watch/judge.hpp"

using namespace halfturn;
using namespace halfturn::record;
using namespace halfturn::test;
using namespace std::chrono_literals;

namespace {

// Force in kgf by a calibration of third degree, and a counter of 600 lines.
SetUp two_channels() {
    SetUp set_up;
    PortSetUp force, turns;
    force.name = "force";
    force.format = "bare-value";
    turns.format = "counts-csv";
    force.start = turns.start = Start::boundary;
    force.settings = {{"unit", "kgf"}};
    turns.name = "turns";
    turns.settings = {{"unit", "counts"}};
    set_up.ports = {force, turns};
    ChannelSetUp pull, counter;
    pull.unit = Unit::kgf;
    pull.coefficients = {0.25, 1.01, 1e-6, -1e-10};
    pull.sign = -1;
    pull.capacity = 5000;
    counter.port = 1;
    counter.measures = Measure::turns;
    counter.unit = Unit::counts;
    counter.counts_per_turn = 600;
    set_up.channels = {pull, counter};
    set_up.pitch_mm = 1.25;
    return set_up;
}

// `count` force readings at 1 kHz with the jitter of a serial line, a turn reading with every tenth, one spike, one zero.
std::vector<Event> long_pull(std::size_t count) {
    std::mt19937_64 random(7);
    std::normal_distribution<double> noise(0, 0.4), jitter(0, 50'000);
    std::vector<Event> events;
    const auto add = [&](Instant at, What what) {
        events.push_back({events.size() + 1, events.empty() ? at : std::max(at, events.back().at), std::move(what)});
    };
    add(0, PortChanged{0, PortState::opened, ""});
    add(0, PortChanged{1, PortState::opened, ""});
    for (std::size_t i = 0; i < count; ++i) {
        const auto at = static_cast<Instant>(i + 1) * 1'000'000 + static_cast<Instant>(std::fabs(jitter(random)));
        const double pulled = i < 2000 ? 0 : 30 * std::sin(static_cast<double>(i) / 3000);
        const std::string number = fixed_text(i == 4000 ? 9999.9 : -pulled - noise(random), 1);
        add(at, BytesArrived{0, number + "\n"});
        if (i % 10 == 0) add(at, BytesArrived{1, std::to_string(i / 100) + "\r\n"});
        if (i % 100 == 0) add(at, Tick{});
        if (i == 1000) add(at, OperatorDid{Act::zero, ""});
        if (i == 1500) add(at, OperatorDid{Act::begin, ""});
    }
    return events;
}

void keep(const std::string& path, const SetUp& set_up, const std::vector<Event>& events, bool finish = true) {
    Recorder recorder(path, set_up);
    Judge judge(set_up);
    judge.set_reading_sink([&](const DecodedReading& reading) { recorder.add_reading(reading); });
    for (std::size_t i = 0; i < events.size(); ++i) {
        recorder.add(events[i]);
        judge.on(events[i]);
        if (i % 5000 == 0) recorder.wait_until_recorded(5s);
    }
    if (finish) REQUIRE(recorder.finish("by hand", {}));
    else REQUIRE(recorder.wait_until_recorded(5s));
}

struct Row {
    std::int64_t at_ns;
    double value;
    friend bool operator==(const Row&, const Row&) = default;
};

std::vector<Row> all_samples(JobSamples& samples, std::uint16_t channel) {
    std::vector<Row> rows;
    samples.for_each(channel, 0, std::numeric_limits<Instant>::max(), [&](auto at_ns, auto values) {
        for (std::size_t i = 0; i < at_ns.size(); ++i) rows.push_back({at_ns[i], values[i]});
    });
    return rows;
}

// Each table of the samples as one text, in order.
std::string derived_bytes(const std::string& path) {
    sqlite3* db = nullptr;
    REQUIRE(sqlite3_open_v2(path.c_str(), &db, SQLITE_OPEN_READWRITE, nullptr) == SQLITE_OK);
    std::string text;
    for (const char* query :
         {"SELECT * FROM sample_channels ORDER BY job, channel", "SELECT * FROM sample_blocks ORDER BY job, channel, number",
          "SELECT * FROM odd_readings ORDER BY job, channel, at_ns",
          "SELECT * FROM pyramid_pages ORDER BY job, channel, level, page",
          "SELECT job, judge, events FROM sample_sets ORDER BY job"}) {
        sqlite3_stmt* rows = nullptr;
        REQUIRE(sqlite3_prepare_v2(db, query, -1, &rows, nullptr) == SQLITE_OK);
        while (sqlite3_step(rows) == SQLITE_ROW)
            for (int i = 0; i < sqlite3_column_count(rows); ++i) {
                const auto* bytes = static_cast<const char*>(sqlite3_column_blob(rows, i));
                text.append(bytes ? bytes : "", static_cast<std::size_t>(sqlite3_column_bytes(rows, i))) += '|';
            }
        sqlite3_finalize(rows);
    }
    sqlite3_close_v2(db);
    return text;
}

}  // namespace

TEST_CASE("samples written live are those made again from the events, byte for byte") {
    const Folder folder;
    keep(folder.file(), two_channels(), long_pull(40'000));
    const std::string live = derived_bytes(folder.file());
    Store store = Store::open(folder.file(), Mode::write);
    REQUIRE(has_samples(store, 1));
    const std::string head = store.head();
    make_samples(store, find_job(store, "1"));
    CHECK(derived_bytes(folder.file()) == live);
    CHECK(live.size() > 50'000);
    CHECK(store.head() == head);
    CHECK(verify(store).findings.empty());
}

TEST_CASE("samples are what the judge used, and each reading is among them or among the odd ones") {
    const Folder folder;
    const auto events = long_pull(20'000);
    keep(folder.file(), two_channels(), events);
    Store store = Store::open(folder.file(), Mode::read);
    JobSamples samples(store, find_job(store, "1"));
    std::vector<Row> judged[2];
    Judge judge(two_channels());
    judge.set_sample_sink([&](const Sample& sample) {
        if (sample.force_known && sample.force_fresh) judged[0].push_back({sample.at / 1000 * 1000, sample.force_N});
        if (sample.screw_known && sample.screw_fresh) judged[1].push_back({sample.at / 1000 * 1000, sample.turns});
    });
    for (const Event& event : events) judge.on(event);
    for (const std::uint16_t channel : {std::uint16_t{0}, std::uint16_t{1}}) {
        const auto kept = all_samples(samples, channel);
        CHECK(kept.size() == judged[channel].size());
        CHECK(kept == judged[channel]);
    }
    CHECK(samples.extent(0).samples == 19'999);
    CHECK(store.database().number("SELECT count(*) FROM odd_readings WHERE why = 'spike' AND printed = '9999.9' AND unit = 'kgf'") == 1);
    // A part of it, cut anywhere.
    std::vector<Row> part;
    samples.for_each(0, 7'000'123'000, 9'500'000'000, [&](auto at_ns, auto values) {
        for (std::size_t i = 0; i < at_ns.size(); ++i) part.push_back({at_ns[i], values[i]});
    });
    std::vector<Row> wanted;
    for (const Row& row : judged[0])
        if (row.at_ns >= 7'000'123'000 && row.at_ns < 9'500'000'000) wanted.push_back(row);
    CHECK(part == wanted);
}

// The end may come at any moment of the recorder's work: each round puts it elsewhere.
TEST_CASE("the last readings are among the samples, however soon after them the job ends") {
    const Folder folder;
    constexpr int rounds = 60;
    const auto events = long_pull(2'000);
    const auto pause = [](std::chrono::microseconds span) {
        for (const auto end = std::chrono::steady_clock::now() + span; std::chrono::steady_clock::now() < end;) {}
    };
    for (int round = 0; round < rounds; ++round) {
        Recorder recorder(folder.file(), two_channels(), {.commit_every = 0ms});
        Judge judge(two_channels());
        judge.set_reading_sink([&](const DecodedReading& reading) { recorder.add_reading(reading); });
        for (const Event& event : events) {
            recorder.add(event);
            judge.on(event);
        }
        recorder.wait_until_recorded(5s);
        pause(std::chrono::microseconds(20 * round));
        REQUIRE(recorder.finish("by hand", {}, 5s));
    }
    Store store = Store::open(folder.file(), Mode::read);
    for (int round = 1; round <= rounds; ++round) {
        REQUIRE(has_samples(store, round));
        CHECK(JobSamples(store, find_job(store, std::to_string(round))).extent(0).samples == 2'000);
    }
}

TEST_CASE("the views read the same in plain SQL") {
    const Folder folder;
    keep(folder.file(), two_channels(), long_pull(17'000));
    Store store = Store::open(folder.file(), Mode::read);
    JobSamples samples(store, find_job(store, "1"));
    for (const std::uint16_t channel : {std::uint16_t{0}, std::uint16_t{1}}) {
        const auto wanted = all_samples(samples, channel);
        Statement view(store.database(),
                       "SELECT at_ns, value, value_in, measures FROM samples WHERE job = 1 AND channel = ? ORDER BY at_ns");
        view.bind(1, std::int64_t{channel});
        std::size_t i = 0;
        bool same = true;
        for (; view.row(); ++i) {
            same = same && i < wanted.size() && view.integer(0) == wanted[i].at_ns && view.real(1) == wanted[i].value;
            if (i == 0) CHECK(view.copy(2) + view.copy(3) == (channel == 0 ? "Nforce" : "turnsturns"));
        }
        CHECK(i == wanted.size());
        CHECK(same);
    }
    // Pyramid and ranges cover the samples, seen from SQL alone.
    CHECK(store.database().number("SELECT (SELECT min(low) FROM pyramid WHERE channel = 0 AND level = 0) <= (SELECT min(low) FROM sample_ranges "
                                  "WHERE channel = 0)") == 1);
    CHECK(store.database().number("SELECT sum(samples) FROM sample_ranges") == samples.extent(0).samples + samples.extent(1).samples);
    CHECK(store.database().number("SELECT count(*) FROM pyramid WHERE level = 0") > 900);
}

TEST_CASE("any stretch is drawn as its samples would be, to an eighth of a column") {
    const Folder folder;
    keep(folder.file(), two_channels(), long_pull(60'000));
    Store store = Store::open(folder.file(), Mode::read);
    JobSamples samples(store, find_job(store, "1"));
    const auto rows = all_samples(samples, 0);
    std::mt19937_64 random(9);
    for (int round = 0; round < 60; ++round) {
        const Instant span = static_cast<Instant>(std::exp(std::uniform_real_distribution<>(std::log(1e7), std::log(6.2e10))(random)));
        const auto from = static_cast<Instant>(random() % 60'000'000'000u) - span / 4;
        const std::size_t columns = 20 + random() % 1500;
        const auto drawn = samples.draw(0, from, from + span, columns);
        REQUIRE(drawn.size() == columns);
        INFO("from " << from << " over " << span << " ns in " << columns);
        const double wide = static_cast<double>(span) / static_cast<double>(columns), edge = wide / 8 + 1;
        bool good = true;
        for (std::size_t i = 0; i < columns; ++i) {
            const double begin = static_cast<double>(from) + wide * static_cast<double>(i);
            // Wider and narrower by an edge: what is drawn lies between the two.
            double low_in = INFINITY, high_in = -INFINITY, low_out = INFINITY, high_out = -INFINITY;
            auto row = std::lower_bound(rows.begin(), rows.end(), begin - edge,
                                        [](const Row& r, double at) { return static_cast<double>(r.at_ns) < at; });
            for (; row != rows.end() && static_cast<double>(row->at_ns) < begin + wide + edge; ++row) {
                const auto at = static_cast<double>(row->at_ns);
                low_out = std::min(low_out, row->value), high_out = std::max(high_out, row->value);
                if (at < begin + edge || at >= begin + wide - edge) continue;
                low_in = std::min(low_in, row->value), high_in = std::max(high_in, row->value);
            }
            if (!drawn[i].any) good = good && low_in > high_in;
            else
                good = good && drawn[i].low <= low_in && drawn[i].high >= high_in && drawn[i].low >= low_out - 0.05 &&
                       drawn[i].high <= high_out + 0.05;
        }
        REQUIRE(good);
    }
}

TEST_CASE("a job without samples: cut off, or of before; they are made when wanted") {
    const Folder folder;
    keep(folder.file(), two_channels(), long_pull(17'000));
    keep(folder.file(), two_channels(), long_pull(17'000), false);
    Store store = Store::open(folder.file(), Mode::write);
    CHECK(has_samples(store, 1));
    CHECK_FALSE(has_samples(store, 2));
    {
        Store reading = Store::open(folder.file(), Mode::read);
        JobSamples first(reading, find_job(reading, "1")), second(reading, find_job(reading, "2"));
        CHECK(all_samples(second, 0) == all_samples(first, 0));  // in memory
        CHECK(second.draw(0, 0, 17'000'000'000, 100).size() == 100);
        CHECK_THROWS_WITH(make_samples(reading, find_job(reading, "2")), Catch::Contains("reading only"));
    }
    make_samples(store, find_job(store, "2"));
    CHECK(has_samples(store, 2));
    REQUIRE(sql(folder.file(), "DELETE FROM sample_sets; DELETE FROM pyramid_pages; DELETE FROM sample_blocks WHERE number > 1") == "");
    make_samples(store, find_job(store, "1"));
    JobSamples again(store, find_job(store, "1"));
    CHECK(again.extent(0).samples == 16'999);
    CHECK(verify(store).findings.empty());
}

TEST_CASE("damaged samples are named, and make nothing else doubtful") {
    const Folder folder;
    keep(folder.file(), two_channels(), long_pull(17'000));
    REQUIRE(sql(folder.file(), "UPDATE sample_blocks SET packed = x'00' WHERE number = 2 AND channel = 0; UPDATE pyramid_pages SET packed = x'00'") == "");
    Store store = Store::open(folder.file(), Mode::write);
    const std::vector<Finding> findings = verify(store).findings;
    REQUIRE(findings.size() == 1);
    CHECK(findings[0].table == "sample_sets");
    CHECK(findings[0].job == 1);
    {
        JobSamples samples(store, find_job(store, "1"));
        CHECK_THROWS_WITH(all_samples(samples, 0), Catch::Contains("block 2 of channel 0 of job 1") && Catch::Contains("rejudge 1 --samples"));
        CHECK_THROWS_WITH(samples.draw(0, 0, 17'000'000'000, 10), Catch::Contains("pyramid"));
    }
    make_samples(store, find_job(store, "1"));
    JobSamples samples(store, find_job(store, "1"));
    CHECK(all_samples(samples, 0).size() == 16'999);
}

// An export is made of them: changed by hand, they would be a forged export from a record that verifies.
TEST_CASE("compact samples that are not what the events give are named, and mended by making them anew") {
    const Folder folder;
    keep(folder.file(), two_channels(), long_pull(17'000));
    keep(folder.file(), two_channels(), long_pull(3'000));
    const std::string change = GENERATE(as<std::string>{}, "UPDATE sample_blocks SET zero = zero + 500 WHERE job = 1 AND channel = 0",
                                        "UPDATE sample_blocks SET digit_base = digit_base + 1 WHERE job = 1 AND channel = 1 AND number = 1",
                                        "UPDATE sample_blocks SET high = 1 WHERE job = 1 AND number = 1 AND channel = 0",
                                        "DELETE FROM sample_blocks WHERE job = 1 AND channel = 0 AND number = 1",
                                        "DELETE FROM odd_readings WHERE job = 1",
                                        "UPDATE sample_channels SET c1 = 2 WHERE job = 1 AND channel = 0",
                                        "UPDATE pyramid_pages SET base = base - 10 WHERE job = 1",
                                        "UPDATE sample_blocks SET zero = zero + 500 WHERE job = 1; UPDATE sample_sets SET judge = '0'");
    INFO(change);
    Store store = Store::open(folder.file(), Mode::write);
    REQUIRE(verify(store).findings.empty());
    REQUIRE(sql(folder.file(), change) == "");
    const std::vector<Finding> findings = verify(store).findings;
    REQUIRE(findings.size() == 1);
    CHECK(findings[0].table == "sample_sets");
    CHECK(findings[0].job == 1);
    CHECK_THAT(findings[0].says, Catch::Contains("halfturn rejudge 1 --samples"));
    make_samples(store, find_job(store, "1"));
    CHECK(verify(store).findings.empty());
}

TEST_CASE("trouble with the samples never touches the record") {
    const Folder folder;
    const auto events = long_pull(3000);
    // A table that refuses every row, as a full disk or a lock would.
    { Store store = Store::open(folder.file(), Mode::write); }
    REQUIRE(sql(folder.file(), "CREATE TRIGGER no BEFORE INSERT ON sample_blocks BEGIN SELECT RAISE(ABORT, 'no'); END") == "");
    keep(folder.file(), two_channels(), events);
    REQUIRE(sql(folder.file(), "DROP TRIGGER no") == "");
    Store store = Store::open(folder.file(), Mode::write);
    CHECK(find_job(store, "1").events == static_cast<std::int64_t>(events.size()));
    CHECK(find_job(store, "1").state == JobState::ended);
    CHECK_FALSE(has_samples(store, 1));
    CHECK(verify(store).findings.empty());
    CHECK(store.database().number("SELECT count(*) FROM sample_channels") == 0);
}
