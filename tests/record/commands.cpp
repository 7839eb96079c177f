// review, rejudge, verify and export as a caller sees them, on a job judged from a table of force and turns.
#include <catch2/catch.hpp>

#include <algorithm>

#include "core/decimal.hpp"
#include "core/number_text.hpp"
#include "core/sha256.hpp"
#include "ports/log_port.hpp"
#include "record/bench.hpp"
#include "record/export.hpp"
#include "record/reader.hpp"
#include "record/recorder.hpp"
#include "record/rejudge.hpp"
#include "run_halfturn.hpp"
#include "watch/judgement_json.hpp"

using namespace halfturn;
using namespace halfturn::record;
using halfturn::test::Bench;
using halfturn::test::Ran;
using halfturn::test::sql;

namespace {

SetUp table_set_up() {
    SetUp set_up;
    set_up.rig = "table";
    PortSetUp port;
    port.name = "log";
    port.format = "log-csv";
    port.start = Start::boundary;
    port.device_tick_s = 1e-6;
    set_up.ports = {port};
    ChannelSetUp force;
    force.measures = Measure::force;
    force.index = "force";
    force.unit = Unit::N;
    force.capacity = 5000;
    ChannelSetUp turns;
    turns.measures = Measure::turns;
    turns.index = "turns";
    turns.unit = Unit::turns;
    turns.counts_per_turn = 1;
    set_up.channels = {force, turns};
    set_up.pitch_mm = 1.25;
    set_up.stiffness_N_per_mm = {8000, 10000, 12000};
    set_up.stiffness_measured = true;
    set_up.force_limit_N = 5000;
    set_up.break_loose_N = {500, 900, 1600};
    set_up.sliding_N = {400, 700, 1300};
    set_up.curve = {{0, 0, 0, 0}, {0.1, 500, 900, 1250}, {0.15, 400, 800, 1600}, {4, 10, 50, 200}};
    set_up.grip_fall = {{0, 1}, {5, 0}};
    set_up.seat_length_mm = 5;
    set_up.item = "castor 3";
    set_up.seat = "left";
    set_up.who = "Ada";
    return set_up;
}

// Slack, loading to 1000 N, release, sliding to nothing: as rows of a logger, ten a second, with ticks.
std::vector<Event> press_events() {
    std::vector<Event> events;
    const auto add = [&](double t_s, What what) { events.push_back({events.size() + 1, from_seconds(t_s), std::move(what)}); };
    add(0, BytesArrived{0, "t_s,force_N,turns\r\n"});
    add(0, OperatorDid{Act::begin, ""});
    for (int i = 0; i <= 600; ++i) {
        const double t = i * 0.05, turns = t * 0.1;
        const double since = turns - 0.5;
        double force = since <= 0 ? 0 : since < 0.08 ? since * 12500 : 700 * std::max(0.0, 1 - (since - 0.08) / 2.3);
        force += (i % 3) - 1;
        add(t, BytesArrived{0, number_text(t) + "," + number_text(force) + "," + number_text(turns) + "\r\n"});
        if (i % 2 == 0) add(t, Tick{});
    }
    add(30.1, OperatorDid{Act::end, ""});
    return events;
}

// Records and judges it; returns the judgement's JSON.
std::string keep_job(const std::string& path) {
    const SetUp set_up = table_set_up();
    Recorder recorder(path, set_up, {Origin::log});
    Judge judge(set_up);
    for (const Event& event : press_events()) {
        recorder.add(event);
        judge.on(event);
    }
    const Judgement j = judge.judgement();
    const std::string json = judgement_json(j, set_up, recorder.job_id());
    REQUIRE(recorder.finish("end of the log", Judged{j.judge, std::string(call_id(j.call)), j.fingerprint, json}));
    return json;
}

}  // namespace

TEST_CASE("a recorded job is judged again to the same bits", "[P1]") {
    const Bench bench;
    const std::string path = (bench.folder / "bench.db").string();
    keep_job(path);
    Store store = Store::open(path, Mode::read);
    const Rejudged again = judge_again(store, find_job(store, "1"));
    CHECK(again.agreement == Agreement::same);
    CHECK(again.now.break_loose);
    CHECK(again.now.fingerprint == again.before.back().judged.fingerprint);
}

TEST_CASE("an exported log reads back event for event") {
    const test::Folder folder;
    Store store = Store::open(folder.file(), Mode::write);
    SetUp set_up = test::sample_set_up();
    OpenJob job = store.begin_job(set_up, Origin::live);
    std::vector<Event> events;
    std::string bytes;
    for (std::uint64_t seq = 1; seq <= 2500; ++seq) {
        events.push_back(test::sample_event(seq));
        append_event_bytes(events.back(), bytes);
    }
    store.add_block(job, bytes);
    std::string log;
    export_event_log(store, find_job(store, "1"), [&](std::string_view text) { log += text; });
    set_up.ports[0].marked = false;
    std::vector<Event> back;
    for (const Event& event : events_from_json_lines(log, set_up, "log"))
        if (!std::holds_alternative<Tick>(event.what)) back.push_back(event);
    std::size_t at = 0;
    for (Event& event : events) {
        if (std::holds_alternative<Tick>(event.what)) continue;
        if (const auto* did = std::get_if<OperatorDid>(&event.what); did && did->act == Act::begin && at == 0) ++at;
        REQUIRE(at < back.size());
        back[at].seq = event.seq;  // ticks are counted anew
        auto* arrived = std::get_if<BytesArrived>(&event.what);
        if (arrived && arrived->port == 0 && arrived->bytes.find('\xFF') != std::string::npos) ++at;  // marked: see below
        else REQUIRE(test::bytes_of(back[at++]) == test::bytes_of(event));
    }
    REQUIRE(at == back.size());
}

TEST_CASE("bytes of a line that marks its errors are exported plainly") {
    SetUp set_up;
    set_up.ports.resize(2);
    set_up.ports[0].name = "force";
    set_up.ports[0].marked = true;
    set_up.ports[1].name = "travel";
    EventLog log(set_up);
    const auto hex_of = [&](std::uint16_t port, const std::string& bytes) {
        const auto line = boost::json::parse(log.line({1, 1234567, BytesArrived{port, bytes}}));
        CHECK(line.at("t_ms") == 1.234567);
        return std::string(line.at("hex").as_string());
    };
    using namespace std::string_literals;
    CHECK(hex_of(0, "1\xFF\xFF" "2\r") == "31ff320d");
    CHECK(hex_of(0, "1\xFF\0A2"s) == "310032");   // a bad A
    CHECK(hex_of(0, "1\xFF\0\0"s) == "3100");     // a break
    CHECK(hex_of(0, "1\xFF") == "31");            // cut inside the escape
    CHECK(hex_of(0, "\0"s) == "");
    CHECK(hex_of(0, "B3") == "0033");
    CHECK(hex_of(1, "\xFF\0A"s) == "ff0041");
}

TEST_CASE("the record's commands") {
    const Bench bench;
    const std::string path = (bench.folder / "bench.db").string(), option = " --store '" + path + "'";
    const std::string judged = keep_job(path);

    SECTION("review lists and shows") {
        Ran ran = bench.run("review" + option);
        CHECK(ran.status == 0);
        CHECK_THAT(ran.out, Catch::Contains("castor 3") && Catch::Contains("nothing unusual") && Catch::Contains("Ada"));
        ran = bench.run("review 1" + option);
        CHECK(ran.status == 0);
        CHECK_THAT(ran.out, Catch::Contains("call            ") && Catch::Contains("█") && Catch::Contains("░") &&
                                Catch::Contains("break-loose     9") && Catch::Contains("operator: begins"));
        const auto list = bench.run("review --json" + option).json();
        CHECK(list.at("jobs").as_array().size() == 1);
        const auto one = bench.run("review 1 --json" + option).json();
        CHECK(one.at("fingerprint") == boost::json::parse(judged).at("fingerprint"));
        CHECK(one.at("record").at("number") == 1);
        CHECK(one.at("agreement") == "same");
        ran = bench.run("review 7" + option);
        CHECK(ran.status == 2);
        CHECK_THAT(ran.out, Catch::Contains("no job \"7\""));
        CHECK(bench.run("review --store '" + (bench.folder / "none.db").string() + "'").status == 2);
        CHECK_FALSE(std::filesystem::exists(bench.folder / "none.db"));
        CHECK(bench.run("review --item nothing" + option).status == 0);
    }
    SECTION("rejudge agrees; an altered record does not") {
        Ran ran = bench.run("rejudge all" + option);
        CHECK(ran.status == 0);
        CHECK_THAT(ran.out, Catch::Contains("1 same, 0 different"));
        CHECK(bench.run("rejudge 1 --json" + option).json().at("agreement") == "same");
        CHECK(bench.run("rejudge all --json" + option).json().as_array().size() == 1);
        // Somebody makes the expected band fit.
        REQUIRE(sql(path, "DROP TRIGGER set_ups_stay_u; UPDATE set_ups SET json = replace(json, '\"high\":1600', '\"high\":900')") == "");
        ran = bench.run("rejudge 1" + option);
        CHECK(ran.status == 1);
        CHECK_THAT(ran.out, Catch::Contains("DIFFERS"));
        ran = bench.run("verify" + option);
        CHECK(ran.status == 1);
        CHECK_THAT(ran.out, Catch::Contains("ALTERED  set_ups 1") && Catch::Contains("trigger set_ups_stay_u is missing"));
        const auto json = bench.run("verify --json" + option).json();
        CHECK(json.at("unaltered") == false);
        CHECK(json.at("findings").as_array().size() == 2);
    }
    SECTION("a judgement by an older judge stands, and its changed call is listed with why") {
        REQUIRE(sql(path, "DROP TRIGGER judgements_stay_u; UPDATE judgements SET judge = '0', call = 'cant-tell', json = "
                          "'{\"reasons\":[\"the caliper was in doubt\"]}'") == "");
        Ran ran = bench.run("rejudge all" + option);
        CHECK(ran.status == 0);
        CHECK_THAT(ran.out, Catch::Contains("call changed") && Catch::Contains("judge 0: can't tell (the caliper was in doubt)"));
        CHECK(bench.run("rejudge 1 --keep" + option).status == 0);
        Store store = Store::open(path, Mode::read);
        CHECK(read_judgements(store, 1).size() == 2);
        CHECK(read_judgements(store, 1)[0].judged.call == "cant-tell");
    }
    SECTION("calls that changed across several versions of the judge are all listed, each with why") {
        const Ran plain = bench.run("rejudge all" + option);
        CHECK_THAT(plain.out, Catch::Contains("0 with another call by another judge") && !Catch::Contains("Calls that changed"));
        // As older programs left them: rows of other versions, the newest one's beside them.
        REQUIRE(sql(path, "DROP TRIGGER judgements_stay_i; INSERT INTO judgements SELECT 0, job, made_utc_ms, '0', 'cant-tell', 'sha256:00', "
                          "'{\"reasons\":[\"the caliper was in doubt\"]}' FROM judgements WHERE id = 1") == "");
        REQUIRE(sql(path, "INSERT INTO judgements SELECT -1, job, made_utc_ms, '1', 'stop-and-inspect', 'sha256:11', "
                          "'{\"reasons\":[\"no release in half a turn\",\"the force returned\"]}' FROM judgements WHERE id = 1") == "");
        const Ran ran = bench.run("rejudge all" + option);
        CHECK_THAT(ran.out, Catch::Contains("same fingerprint; call changed since an older judge") &&
                                Catch::Contains("Calls that changed, and why") && Catch::Contains("job 1, castor 3, left") &&
                                Catch::Contains("judge 0: can't tell (the caliper was in doubt)") &&
                                Catch::Contains("judge 1: stop and inspect (no release in half a turn; the force") &&
                                Catch::Contains("1 with another call by another judge"));
        const auto one = bench.run("rejudge 1 --json" + option).json();
        CHECK(one.at("call_changed") == true);
        CHECK(one.at("before").as_array().size() == 3);
        CHECK(one.at("before").at(0).at("reasons").at(1) == "the force returned");
    }
    SECTION("verify with a head") {
        const std::string head(bench.run("verify --json" + option).json().at("head").as_string());
        CHECK(bench.run("verify --head " + head + option).status == 0);
        Ran ran = bench.run("verify --head " + std::string(64, 'a') + option);
        CHECK(ran.status == 1);
        CHECK_THAT(ran.out, Catch::Contains("is not in this store's chain"));
        CHECK(bench.run("verify --head zz" + option).status == 2);
    }
    SECTION("export: CSV") {
        const std::string file = (bench.folder / "out.csv").string();
        CHECK(bench.run("export 1 --csv '" + file + "'" + option).status == 0);
        const std::string csv = test::read_all(file);
        CHECK(csv.rfind("t_s,force_N,turns\r\n", 0) == 0);
        // The rows of the table come back, number for number (the job's zero is where it began: -1 N).
        CHECK(std::count(csv.begin(), csv.end(), '\n') == 602);
        CHECK_THAT(csv, Catch::Contains("\r\n30,"));
        CHECK(bench.run("export 1 --csv -" + option).out == csv);
    }
    SECTION("a log of plain numbers comes back byte for byte") {
        std::string log = "t_s,force_N,turns\r\n";
        for (int i = 0; i < 3000; ++i)
            log += to_text(normalised(i * 25, -4)) + "," + to_text(normalised(i * 7 % 400 - 200, -1)) + "," +
                   to_text(normalised(i / 10, -3)) + "\r\n";
        const std::string file = bench.file("log.csv", log), job = bench.file("job.toml", bench.run("example job").out);
        const std::string rig = bench.file("rig.toml", bench.run("example rig").out);
        REQUIRE(bench.run("judge '" + file + "' --job '" + job + "' --rig '" + rig + "' --keep" + option).status >= 0);
        CHECK(bench.run("export 2 --csv -" + option).out == log);
        CHECK(bench.run("rejudge 2 --samples" + option).status >= 0);
        CHECK(bench.run("export 2 --csv -" + option).out == log);
        REQUIRE(sql(path, "DELETE FROM sample_sets; DELETE FROM sample_blocks") == "");
        CHECK(bench.run("export 2 --csv -" + option).out == log);
        CHECK(bench.run("verify" + option).status == 0);
    }
    SECTION("export: JSON lines") {
        const std::string lines = bench.run("export 1 --jsonl -" + option).out;
        std::string bytes, hex;
        int begins = 0;
        std::size_t at = 0;
        while (at < lines.size()) {
            const std::size_t end = lines.find('\n', at);
            const auto line = boost::json::parse(lines.substr(at, end - at)).as_object();
            at = end + 1;
            REQUIRE(line.contains("t_ms"));
            if (line.contains("hex")) {
                REQUIRE(line.at("port") == "log");
                hex += line.at("hex").as_string();
            }
            begins += line.contains("operator") && line.at("operator") == "begin";
        }
        for (const Event& event : press_events())
            if (const auto* arrived = std::get_if<BytesArrived>(&event.what)) bytes += arrived->bytes;
        std::string back;
        REQUIRE(from_hex(hex, back));
        CHECK(back == bytes);
        CHECK(begins == 1);
    }
    SECTION("export: the whole store") {
        const std::string file = (bench.folder / "copy.db").string();
        CHECK(bench.run("export --store-copy '" + file + "'" + option).status == 0);
        CHECK_FALSE(std::filesystem::exists(file + "-wal"));
        CHECK(bench.run("verify --store '" + file + "'").status == 0);
        CHECK(bench.run("rejudge all --store '" + file + "'").status == 0);
        Ran ran = bench.run("export --store-copy '" + file + "'" + option);
        CHECK(ran.status == 2);
        CHECK_THAT(ran.out, Catch::Contains("never overwrites"));
    }
    SECTION("what export refuses") {
        CHECK(bench.run("export" + option).status == 2);
        CHECK(bench.run("export 1" + option).status == 2);
        CHECK(bench.run("export --csv x.csv" + option).status == 2);
        CHECK(bench.run("export 9 --csv '" + (bench.folder / "no.csv").string() + "'" + option).status == 2);
        CHECK_FALSE(std::filesystem::exists(bench.folder / "no.csv"));
        CHECK(bench.run("export 1 --csv /nowhere/at/all.csv" + option).status == 2);
    }
    SECTION("other programs' files") {
        const std::string other = bench.file("notes.txt", "This is a text, not a database, and long enough to be taken for one. "
                                                          "It must not be touched by a command that only reads.");
        Ran ran = bench.run("review --store '" + other + "'");
        CHECK(ran.status == 1);
        CHECK_THAT(ran.out, Catch::Contains("is damaged"));
        CHECK(test::read_all(other).rfind("This is a text", 0) == 0);
        const std::string foreign = (bench.folder / "foreign.db").string();
        test::write_all(foreign, "");
        REQUIRE(sql(foreign, "CREATE TABLE t (a)") == "");
        CHECK(bench.run("review --store '" + foreign + "'").status == 2);
        CHECK_THROWS_AS(Store::open(foreign, Mode::write), BadInput);
    }
}
