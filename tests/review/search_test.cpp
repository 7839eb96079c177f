// Finding jobs by anything: words, fields, times, warnings, findings; and that nothing typed is ever more than a text.
#include <algorithm>
#include <catch2/catch.hpp>
#include <filesystem>
#include <fstream>

#include "core/failure.hpp"
#include "core/utf8.hpp"
#include "practice_jobs/judged_job.hpp"
#include "record/reader.hpp"
#include "record/store_files.hpp"
#include "record/verify.hpp"
#include "review/entries.hpp"
#include "review/many_jobs.hpp"
#include "review/search/job_index.hpp"
#include "review/search/words.hpp"

using namespace halfturn;
using namespace halfturn::review;
using namespace halfturn::test;

namespace {

std::vector<std::int64_t> numbers(const Hits& hits) {
    std::vector<std::int64_t> all;
    for (const Hit& hit : hits.jobs) all.push_back(hit.number);
    return all;
}

struct Kept {
    Bench bench;
    std::string path = (bench.folder / "search.db").string();
    record::Store store = record::Store::open(path, record::Mode::write);
    explicit Kept(std::int64_t jobs = 0) { add_made_jobs(store, jobs, usual_made_job); }

    JobIndex index() {
        JobIndex made = JobIndex::beside(store);
        while (!made.catch_up(store, 50)) {}
        return made;
    }
    Hits find(const JobQuery& query) { return index().find(query); }
    Hits find(const std::string& field, const std::string& value) {
        JobQuery query;
        narrow(query, field, value);
        return find(query);
    }
    // What the made-up jobs themselves say, without any index.
    std::vector<std::int64_t> all_where(std::int64_t jobs, bool (*holds)(const MadeJob&)) const {
        std::vector<std::int64_t> found;
        for (std::int64_t n = jobs; n >= 1; --n)
            if (holds(usual_made_job(n))) found.push_back(n);
        return found;
    }
};

// Texts that break out of a careless statement, pattern, query or page.
const std::vector<std::string> hostile = {
    "'", "''", "\"", "\"\"\"", "' OR 1=1 --", "\"; DROP TABLE jobs; --", "x' UNION SELECT 1 --", "\\", "%", "_", "%%%", "*", "**", "a*b*c*",
    "NOT", "AND", "OR NOT", "NEAR(a b, 2)", "names:scored", "{names says}: x", "^scored", "- scored", "scored + easily", "(", ")", "((((", ":", "col : x",
    "\x01\x02\x03", std::string("a\0b", 3), "\xFF\xFE", "\xC3", "é\xCC\x81", "<script>alert(1)</script>", "&amp;", "?1", "$x", "@p", "::", "char(2)", "0x41",
    "1e999", "\u202E", "ﬁ", std::string(400, '('), std::string(400, '"')};

}  // namespace

TEST_CASE("Words become nothing but words") {
    CHECK(match_expression("") == "");
    CHECK(match_expression("  \t ") == "");
    CHECK(match_expression("scored") == "\"scored\" *");
    CHECK(match_expression("  bore   gauge ") == "\"bore\" * AND \"gauge\" *");
    CHECK(match_expression("\"bore gauge 12\" rust") == "\"bore gauge 12\" AND \"rust\" *");
    CHECK(match_expression("\"open end") == "\"open end\"");
    CHECK(match_expression("a OR b NOT c") == "\"a\" * AND \"OR\" * AND \"b\" * AND \"NOT\" * AND \"c\" *");
    CHECK_THROWS_AS(match_expression("-- ()"), BadInput);
    CHECK_THROWS_AS(match_expression(std::string(501, 'a')), BadInput);
    CHECK_THROWS_AS(match_expression("a b c d e f g h i j k l m n o p q r s t u v w x y z"), BadInput);
}

TEST_CASE("The newest jobs read without an index are those that it finds") {
    Kept kept(30);
    const auto job = [&](std::int64_t number) { return record::find_job(kept.store, std::to_string(number)); };
    add_note(kept.store, job(30), "Ann", "a note");
    add_set_aside(kept.store, job(28), "Ann", "practised on");
    add_taken_back(kept.store, add_set_aside(kept.store, job(25), "Ann", "the wrong one"), "Ann", "it was job 24");
    add_set_aside(kept.store, job(24), "Ann", "slipped");
    add_set_aside(kept.store, job(24), "Tom", "slipped, as Ann says");
    add_set_aside(kept.store, job(3), "Ann", "older than most lists");
    JobIndex index = kept.index();
    for (const std::size_t most : {0, 1, 5, 7, 30, 31}) {
        JobQuery all;
        all.most = most;
        const Hits found = index.find(all), newest = newest_jobs(kept.store, most);
        CHECK(newest.total == found.total);
        CHECK(newest.more == found.more);
        REQUIRE(numbers(newest) == numbers(found));
        for (std::size_t i = 0; i < found.jobs.size(); ++i) CHECK(newest.jobs[i].set_aside == found.jobs[i].set_aside);
    }
    CHECK(newest_jobs(kept.store, 7).jobs[2].set_aside);
    CHECK(!newest_jobs(kept.store, 7).jobs[5].set_aside);
    record::Store empty = record::Store::open((kept.bench.folder / "empty.db").string(), record::Mode::write);
    CHECK(newest_jobs(empty, 5).jobs.empty());
}

TEST_CASE("A time is a day or a minute in UTC") {
    CHECK(time_span("1970-01-02", "since").first_utc_ms == 86'400'000);
    CHECK(time_span("1970-01-02", "until").after_utc_ms == 2 * 86'400'000);
    CHECK(time_span("2024-05-17 09:31", "since").first_utc_ms == 1'715'938'260'000);  // `date -u -d "2024-05-17 09:31" +%s`
    CHECK(time_span("2024-05-17T09:31", "until").after_utc_ms == 1'715'938'320'000);
    CHECK(time_span("2024-02-29", "since").first_utc_ms == 1'709'164'800'000);
    for (const char* bad : {"", "2023-02-29", "2024-13-01", "yesterday", "2024-05-17 24:00", "2024-05-17 9:31", "17.05.2024",
                            "2024-05-17x", "-024-01-01", "2024-05-17 09:31:02"})
        CHECK_THROWS_AS(time_span(bad, "since"), BadInput);
}

TEST_CASE("Jobs are found by each field, as going through them all finds them") {
    constexpr std::int64_t count = 400;
    Kept kept(count);
    const auto all = [&](bool (*holds)(const MadeJob&)) { return kept.all_where(count, holds); };
    CHECK(kept.find(JobQuery()).total == count);
    CHECK(numbers(kept.find("call", "stop-and-inspect")) == all([](const MadeJob& j) { return j.call == "stop-and-inspect"; }));
    CHECK(numbers(kept.find("item", "wheel 17")) == all([](const MadeJob& j) { return j.item == "wheel 17"; }));
    CHECK(numbers(kept.find("item", "WHEEL 17")) == all([](const MadeJob& j) { return j.item == "wheel 17"; }));
    CHECK(numbers(kept.find("item", "wheel 1*")) == all([](const MadeJob& j) { return j.item.rfind("wheel 1", 0) == 0; }));
    CHECK(numbers(kept.find("seat", "left")) == all([](const MadeJob& j) { return j.seat == "left"; }));
    CHECK(numbers(kept.find("set", "week 1")) == all([](const MadeJob& j) { return j.set == "week 1"; }));
    CHECK(numbers(kept.find("who", "Tom O'Hara")) == all([](const MadeJob& j) { return j.who == "Tom O'Hara"; }));
    CHECK(numbers(kept.find("rig", "bench two")) == all([](const MadeJob& j) { return j.rig == "bench two"; }));
    CHECK(numbers(kept.find("warning", "past-break-loose-band")) == all([](const MadeJob& j) { return j.warning == "past-break-loose-band"; }));
    CHECK(numbers(kept.find("bearing", "6902")) == all([](const MadeJob& j) { return j.designation == "61902-2RS" || j.designation == "6902 ZZ"; }));
    CHECK(numbers(kept.find("search", "scored mouth")) == all([](const MadeJob& j) { return j.note.find("scored") == 0; }));
    CHECK(numbers(kept.find("search", "\"hub was warm\"")) == all([](const MadeJob& j) { return j.note.find("hub was") == 0; }));
    CHECK(numbers(kept.find("search", "\"warm hub\"")).empty());
    CHECK(numbers(kept.find("search", "zoe")) == all([](const MadeJob& j) { return j.who == "Zoë"; }));
    CHECK(numbers(kept.find("search", "broken loose")) == all([](const MadeJob& j) { return j.call == "stop-and-inspect"; }));
    CHECK(kept.find("signed-off", "no").total == count);
    CHECK(kept.find("set-aside", "yes").total == 0);

    JobQuery both;
    narrow(both, "call", "look-closer");
    narrow(both, "call", "stop-and-inspect");
    narrow(both, "seat", "right");
    narrow(both, "since", "2023-11-15");
    narrow(both, "until", "2023-11-15 12:00");
    CHECK(numbers(kept.find(both)) == all([](const MadeJob& j) {
              return j.call != "nothing-unusual" && j.seat == "right" && j.started_utc_ms >= 1'700'006'400'000 &&
                     j.started_utc_ms < 1'700'049'660'000;
          }));
    // By pages, as from the whole.
    both = JobQuery();
    both.most = 7;
    std::vector<std::int64_t> paged;
    JobIndex index = kept.index();
    for (Hits page; !(page = index.find(both)).jobs.empty(); both.before = paged.back()) {
        CHECK(page.total == count);
        CHECK(page.jobs.size() <= 7);
        for (const std::int64_t number : numbers(page)) paged.push_back(number);
    }
    CHECK(paged == all([](const MadeJob&) { return true; }));
    // Counted as far as somebody reads, and to the end where it is at hand.
    const auto counted = [&](const std::string& field, const std::string& value, std::int64_t before, std::size_t most) {
        JobQuery asked;
        asked.count_to = 60;
        asked.most = most;
        asked.before = before;
        if (!field.empty()) narrow(asked, field, value);
        const Hits hits = index.find(asked);
        return std::pair(hits.total, hits.more);
    };
    const auto stopped = static_cast<std::int64_t>(all([](const MadeJob& j) { return j.call == "stop-and-inspect"; }).size());
    CHECK(counted("", "", 0, 7) == std::pair(count, false));
    CHECK(counted("search", "wheel", 0, 7) == std::pair(std::int64_t{60}, true));
    CHECK(counted("search", "wheel", 100, 7) == std::pair(std::int64_t{60}, true));
    CHECK(counted("search", "wheel", 0, 0) == std::pair(count, false));
    CHECK(counted("seat", "left", 0, 7) == std::pair(std::int64_t{60}, true));
    CHECK(counted("call", "stop-and-inspect", 0, 7) == std::pair(stopped, false));
    CHECK(counted("call", "stop-and-inspect", 20, 7) == std::pair(stopped, false));
    CHECK(counted("call", "stop-and-inspect", 0, 50) == std::pair(stopped, false));
    CHECK(index.values("who", "z") == std::vector<std::string>{"Zoë"});
    CHECK(index.values("rig", "").size() == 2);
    CHECK_THROWS_AS(index.values("json", ""), BadInput);
}

TEST_CASE("What does not exist is said so, with the nearest that does") {
    Kept kept(3);
    for (const auto& [field, value, near] : std::vector<std::array<std::string, 3>>{
             {"call", "look-close", "look-closer"}, {"warning", "force-spike", "force-spikes"}, {"finding", "gallled", "galled"}}) {
        try {
            kept.find(field, value);
            FAIL("accepted " << value);
        } catch (const BadInput& problem) {
            CHECK_THAT(problem.what(), Catch::Contains("did you mean " + near));
        }
    }
    JobQuery query;
    CHECK_THROWS_AS(narrow(query, "colour", "red"), BadInput);
    CHECK_THROWS_AS(narrow(query, "signed-off", "maybe"), BadInput);
    for (int i = 0; i < 51; ++i) narrow(query, "item", "x");
    CHECK_THROWS_AS(kept.find(query), BadInput);
}

TEST_CASE("No text is more than a text, in any field", "[injection]") {
    Kept kept(40);
    // Each hostile text as a name of everything, and searched for: exactly that job, or a refusal in words.
    for (const std::string& text : hostile) {
        const auto n = kept.store.database().number("SELECT max(number) FROM jobs") + 1;
        add_made_jobs(kept.store, 1, [&](std::int64_t number) {
            MadeJob job = usual_made_job(number);
            job.item = job.seat = job.set = job.who = job.designation = job.rig = job.note = job.says = text;
            job.warning = "force-spikes";
            return job;
        });
        INFO("text " << text << " is job " << n);
        for (const char* field : {"item", "seat", "set", "who", "rig", "bearing"}) {
            const Hits hits = kept.find(field, text);
            const auto found = numbers(hits);
            if (text.find('*') != std::string::npos) continue;  // a pattern; tried below
            if (text.find('\0') == std::string::npos && is_utf8(text)) CHECK(std::count(found.begin(), found.end(), n) == 1);
            CHECK(found.size() <= hostile.size());
        }
        for (const char* field : {"call", "warning", "finding", "since", "until", "signed-off"})
            CHECK_THROWS_AS(kept.find(field, text), BadInput);
        try {
            const Hits hits = kept.find("search", text);
            CHECK(hits.total <= n);
        } catch (const BadInput&) {
        }
        for (const char* field : {"item", "who"}) kept.index().values(field, text);
    }
    CHECK(kept.find("item", "*").total == kept.store.database().number("SELECT count(*) FROM jobs"));
    CHECK(kept.find("item", "wheel _").total == 0);   // SQL's own wildcards are letters like any other
    CHECK(kept.find("item", "wheel %*").total == 0);
    CHECK(kept.find("item", "wheel 1").total == 4);
    CHECK(record::verify(kept.store).findings.empty());
}

TEST_CASE("The index follows the store, and is made anew when it is not of it") {
    Kept kept(30);
    const std::string file = kept.path + "-index";
    CHECK(kept.find("search", "overhaul").total == 0);
    CHECK(std::filesystem::exists(file));
    CHECK((std::filesystem::status(file).permissions() & std::filesystem::perms::others_read) == std::filesystem::perms::none);

    const record::JobRow job = record::find_job(kept.store, "12");
    const auto entry = add_note(kept.store, job, "Ana", "found during the overhaul");
    CHECK(numbers(kept.find("search", "overhaul")) == std::vector<std::int64_t>{12});
    const Hits hits = kept.find("search", "overh");
    REQUIRE(hits.jobs.size() == 1);
    CHECK_THAT(hits.jobs[0].passage, Catch::Contains(std::string(1, match_begins) + "overhaul" + match_ends));
    add_sign_off(kept.store, job, "Ben", "");
    CHECK(numbers(kept.find("signed-off", "yes")) == std::vector<std::int64_t>{12});
    add_set_aside(kept.store, job, "Ben", "wrong rig file");
    CHECK(numbers(kept.find("set-aside", "yes")) == std::vector<std::int64_t>{12});
    add_taken_back(kept.store, record::read_entries(kept.store, 12).back().id, "Ben", "it was right");
    CHECK(kept.find("set-aside", "yes").total == 0);
    CHECK(entry > 0);
    // Found at the seat, without a job: all jobs on it.
    Inspection found;
    found.text = "fretting at the shoulder";
    add_inspection(kept.store, "wheel 5", "left", "Ana", found);
    CHECK(numbers(kept.find("search", "fretting shoulder")) == std::vector<std::int64_t>{23, 21});
    add_made_jobs(kept.store, 5, usual_made_job);
    CHECK(kept.find(JobQuery()).total == 35);

    // Missing, damaged, of another program, of another store.
    std::filesystem::remove(file);
    CHECK(kept.find("search", "overhaul").total == 1);
    for (const char* end : {"", "-wal", "-shm"}) std::filesystem::remove(file + end);
    std::ofstream(file) << std::string(8192, 'x');
    CHECK(kept.find("search", "overhaul").total == 1);
    for (const char* end : {"", "-wal", "-shm"}) std::filesystem::remove(file + end);
    {
        record::make_file(file);
        record::Database other(file, record::Mode::write);
        other.execute("CREATE TABLE letters (text)");
    }
    CHECK(kept.find("search", "overhaul").total == 1);
    CHECK(record::Database(file, record::Mode::read).number("SELECT count(*) FROM letters") == 0);  // still there: it is not ours
    std::filesystem::remove(file);
    kept.index();
    {
        const std::string elsewhere = (kept.bench.folder / "other.db").string();
        record::Store other = record::Store::open(elsewhere, record::Mode::write);
        add_made_jobs(other, 3, usual_made_job);
        for (const char* end : {"", "-wal", "-shm"})
            if (std::filesystem::exists(file + end)) std::filesystem::copy(file + end, elsewhere + "-index" + end);
        JobIndex index = JobIndex::beside(other);
        while (!index.catch_up(other)) {}
        CHECK(index.find(JobQuery()).total == 3);
    }
    // The store was only read.
    CHECK(record::verify(kept.store).findings.empty());
}

TEST_CASE("halfturn review finds what was recorded") {
    const std::string job_text = example("job"), rig_text = example("rig");
    const Bench bench;
    const std::string job = bench.file("job.toml", job_text), rig = bench.file("rig.toml", rig_text);
    const std::string option = " --store '" + (bench.folder / "s.db").string() + "'";
    for (const char* scenario : {"clean", "galled"}) {
        const std::string log = bench.file(std::string(scenario) + ".jsonl", practise(scenario, 3).log);
        REQUIRE(bench.run("judge '" + log + "' --job '" + job + "' --rig '" + rig + "' --keep" + option).status >= 0);
    }
    REQUIRE(bench.run("note 1 'felt gritty at first' --who Ana" + option).status == 0);
    const auto listed = [&](const std::string& asked) {
        const Ran ran = bench.run("review --json " + asked + option);
        INFO(asked << "\n" << ran.out);
        REQUIRE(ran.status == 0);
        const auto json = ran.json();
        std::vector<std::int64_t> found;
        for (const auto& one : json.at("jobs").as_array()) found.push_back(one.at("number").to_number<std::int64_t>());
        CHECK(json.at("total").to_number<std::size_t>() == found.size());
        return found;
    };
    using N = std::vector<std::int64_t>;
    CHECK(listed("") == N{2, 1});
    CHECK(listed("--search gritty") == N{1});
    CHECK(listed("--finding galled") == N{2});
    CHECK(listed("--finding nothing-unusual") == N{1});
    CHECK(listed("--search 'galled seat'") == N{2});
    CHECK(listed("--call nothing-unusual") == N{1});
    CHECK(listed("--since 2001-01-01 --until 2001-12-31").empty());
    const Ran text = bench.run("review --search gritty" + option);
    CHECK_THAT(text.out, Catch::Contains("felt gritty at first"));
    CHECK(bench.run("review --call nothing" + option).status == 2);
    CHECK(bench.run("review --since tomorrow" + option).status == 2);
}
