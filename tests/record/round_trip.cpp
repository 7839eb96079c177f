// What goes into the store comes out again, exactly.
#include <sys/stat.h>

#include <catch2/catch.hpp>
#include <clocale>
#include <cmath>
#include <locale>

#include "files/set_up_json.hpp"
#include "record/bench.hpp"
#include "record/reader.hpp"
#include "record/recorder.hpp"
#include "record/verify.hpp"

using namespace halfturn;
using namespace halfturn::record;
using namespace halfturn::test;

TEST_CASE("a set-up comes back from JSON with every bit") {
    const SetUp set_up = sample_set_up();
    const std::string json = set_up_json(set_up);
    const SetUp back = set_up_from_json(json, "test");
    CHECK(set_up_json(back) == json);
    REQUIRE(back.channels.size() == 2);
    CHECK(back.channels[0].coefficients == set_up.channels[0].coefficients);
    CHECK(std::signbit(back.channels[0].coefficients[0]));
    CHECK(std::isinf(back.force_limit_N));
    CHECK(back.ports[0].settings == set_up.ports[0].settings);
    CHECK(back.ports[0].line.parity == Parity::even);
    CHECK_FALSE(back.ports[0].line.dtr);
    CHECK(back.ports[0].start == Start::boundary);
    CHECK(back.channels[0].unit == Unit::kgf);
    CHECK(back.channels[1].measures == Measure::screw_travel);
    CHECK(back.stiffness_N_per_mm == set_up.stiffness_N_per_mm);
    CHECK(back.job_text == set_up.job_text);
    CHECK(back.marks == set_up.marks);
    CHECK(back.practice);
    CHECK(back.half_turn == 0.48);
}

TEST_CASE("doubles of all sizes come back from JSON") {
    // Every exponent, mantissas from a fixed linear congruence: Boost.JSON alone fails this in the last place.
    std::uint64_t state = 42;
    SetUp set_up;
    set_up.ports.emplace_back();
    set_up.channels.emplace_back();
    for (int i = 0; i < 20000; ++i) {
        state = state * 6364136223846793005u + 1442695040888963407u;
        const double value = std::bit_cast<double>(state);
        if (std::isfinite(value)) set_up.channels[0].coefficients.push_back(value);
    }
    const SetUp back = set_up_from_json(set_up_json(set_up), "test");
    CHECK(back.channels[0].coefficients == set_up.channels[0].coefficients);
}

TEST_CASE("an older or newer set-up") {
    const SetUp old = set_up_from_json(R"({"version":1,"pitch_mm":1.5})", "test");
    CHECK(old.pitch_mm == 1.5);
    CHECK(old.lead_s == 0.7);
    CHECK(old.half_turn == 0.5);
    CHECK(set_up_from_json(R"({"version":1,"a_later_field":[1,{"x":null}]})", "test").half_turn == 0.5);
    CHECK_THROWS_WITH(set_up_from_json(R"({"version":2})", "job 3"),
                      Catch::Contains("job 3") && Catch::Contains("newer halfturn"));
    CHECK_THROWS_WITH(set_up_from_json(R"({"pitch_mm":"x"})", "job 3"), Catch::Contains("pitch_mm"));
    CHECK_THROWS_WITH(set_up_from_json(R"({"work":"sideways"})", "job 3"), Catch::Contains("sideways"));
    CHECK_THROWS_WITH(set_up_from_json(R"({"pitch_mm":1,"pitch_mm":2})", "job 3"), Catch::Contains("twice"));
    CHECK_THROWS_AS(set_up_from_json(R"({"channels":[{"port":70000}]})", "job 3"), BadInput);
    CHECK_THROWS_AS(set_up_from_json(R"([1])", "job 3"), BadInput);
    CHECK_THROWS_AS(set_up_from_json(R"({"pitch_mm":1} x)", "job 3"), BadInput);
    CHECK_THROWS_AS(set_up_from_json("", "job 3"), BadInput);
    CHECK_THROWS_AS(set_up_from_json(std::string(1000, '['), "job 3"), BadInput);
}

TEST_CASE("a recorded job comes back event by event") {
    const Folder folder;
    const std::string path = folder.file("new/deeper/bench.db");
    std::vector<Event> events;
    std::string job_id;
    {
        Recorder recorder(path, sample_set_up());
        REQUIRE(recorder.health().detail == "");
        job_id = recorder.job_id();
        CHECK(job_id.size() == std::string("k3f7q2xd-1-x7qd").size());
        for (std::uint64_t seq = 1; seq <= 3000; ++seq) {
            events.push_back(sample_event(seq));
            recorder.add(events.back());
            if (seq % 500 == 0) REQUIRE(recorder.wait_until_recorded(std::chrono::seconds(10)));
        }
        REQUIRE(recorder.finish("ended by the operator", Judged{"v1", "look-closer", "sha256:ab", "{\"call\":\"look-closer\"}"}));
        CHECK(recorder.committed_seq() == 3000);
        CHECK_FALSE(recorder.take_change());
    }
    struct stat facts {};
    REQUIRE(::stat(path.c_str(), &facts) == 0);
    CHECK((facts.st_mode & 0777) == 0600);
    REQUIRE(::stat(folder.file("new").c_str(), &facts) == 0);
    CHECK((facts.st_mode & 0777) == 0700);

    Store store = Store::open(path, Mode::read);
    const std::vector<JobRow> jobs = list_jobs(store);
    REQUIRE(jobs.size() == 1);
    CHECK(jobs[0].job_id == job_id);
    CHECK(jobs[0].state == JobState::ended);
    CHECK(jobs[0].ending == "ended by the operator");
    CHECK(jobs[0].call == "look-closer");
    CHECK(jobs[0].item == sample_set_up().item);
    CHECK(jobs[0].who == "Zoë");
    CHECK(jobs[0].practice);
    CHECK(jobs[0].events == 3000);
    CHECK(jobs[0].length_s == Approx(15.0).margin(1e-3));
    CHECK(bytes_of(read_events(store, 1)) == bytes_of(events));
    CHECK(read_set_up_json(store, 1) == set_up_json(sample_set_up()));
    REQUIRE(read_judgements(store, 1).size() == 1);
    CHECK(read_judgements(store, 1)[0].judged.fingerprint == "sha256:ab");

    CHECK(find_job(store, "1").job_id == job_id);
    CHECK(find_job(store, job_id).number == 1);
    CHECK(find_job(store, job_id.substr(0, 9)).number == 1);
    CHECK_THROWS_WITH(find_job(store, "2"), Catch::Contains("no job \"2\"") && Catch::Contains("newest is 1"));
    CHECK_THROWS_AS(find_job(store, ""), BadInput);
}

TEST_CASE("ids are unique: two stores, copies that go their own ways") {
    const Folder folder;
    std::string first, second, copied;
    {
        Store store = Store::open(folder.file("a.db"), Mode::write);
        first = store.begin_job({}, Origin::live).job_id;
        store.copy_to(folder.file("copy.db"));
        second = store.begin_job({}, Origin::live).job_id;
    }
    {
        Store copy = Store::open(folder.file("copy.db"), Mode::write);
        OpenJob job = copy.begin_job({}, Origin::live);
        CHECK(job.number == 2);
        copied = job.job_id;
    }
    Store other = Store::open(folder.file("b.db"), Mode::write);
    CHECK(second.substr(0, 8) == first.substr(0, 8));
    CHECK(copied != second);
    CHECK(other.bench_id() != first.substr(0, 8));
}

TEST_CASE("a judgement stands beside the older ones; entries and certificates are kept") {
    const Folder folder;
    Store store = Store::open(folder.file(), Mode::write);
    OpenJob job = store.begin_job(sample_set_up(), Origin::log);
    store.add_block(job, bytes_of(sample_event(1)));
    store.end_job(job, "end of the log", Judged{"v1", "cant-tell", "sha256:00", "{}"});
    CHECK_FALSE(store.add_judgement(1, {"v1", "stop-and-inspect", "sha256:01", "{}"}));
    CHECK(store.add_judgement(1, {"v2", "nothing-unusual", "sha256:02", "{}"}));
    const auto judgements = read_judgements(store, 1);
    REQUIRE(judgements.size() == 2);
    CHECK(judgements[0].judged.call == "cant-tell");
    CHECK(judgements[1].judged.judge == "v2");
    CHECK(list_jobs(store)[0].call == "nothing-unusual");

    CHECK(store.add_entry({1, "note", "Ada", "wheel", "left", R"({"text":"scored"})"}) == 1);
    CHECK(store.add_entry({{}, "inspection", "Ada", "wheel", "left", R"({"bore_mm":28.01})"}) == 2);
    CHECK_THROWS_AS(store.add_entry({{}, "opinion", "Ada", "", "", "{}"}), SqlError);
    CHECK_THROWS_AS(store.add_entry({99, "note", "Ada", "", "", "{}"}), SqlError);
    CHECK(read_entries(store, 1).size() == 1);
    CHECK(read_entries_of_seat(store, "wheel", "left").size() == 2);
    store.add_certificate("cert-1", "{\"k\":1}");
    CHECK_THROWS_AS(store.add_certificate("cert-1", "{}"), SqlError);
    REQUIRE(read_certificates(store).size() == 1);
    CHECK(read_certificates(store)[0].json == "{\"k\":1}");
    CHECK(store.head().size() == 64);
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
