// What people add to the record: kept as further chained entries, checked, covered by verify, shown beside the job.
#include <catch2/catch.hpp>

#include "core/failure.hpp"
#include "core/sha256.hpp"
#include "record/reader.hpp"
#include "record/store.hpp"
#include "record/verify.hpp"
#include "review/entries.hpp"
#include "run_halfturn.hpp"

using namespace halfturn;
using namespace halfturn::review;
using test::Bench;
using test::Ran;

namespace {

const std::string jobs = HALFTURN_TESTS_DIR "/jobs/";

// The smallest PNG there is by the PNG specification: signature, IHDR, IDAT, IEND; one grey pixel.
std::string small_png() {
    std::string bytes;
    from_hex("89504e470d0a1a0a0000000d49484452000000010000000108000000003a7e9b550000000a49444154789c636000000002000148afa47100000000"
             "49454e44ae426082", bytes);
    return bytes;
}

// Without the line breaks that come with 80 columns.
std::string on_one_line(const std::string& text) {
    std::string line;
    for (const char c : text)
        if (c != '\n' && (c != ' ' || line.empty() || line.back() != ' ')) line += c;
        else if (!line.empty() && line.back() != ' ') line += ' ';
    return line;
}

std::string keep_job(const Bench& bench, const std::string& store) {
    const Ran ran = bench.run("judge '" + jobs + "clean-noisy-100hz.csv' --job '" + jobs + "castor-out.job.toml' --rig '" + jobs +
                              "castor.rig.toml' --keep --json --store '" + store + "'");
    REQUIRE(ran.status == 0);
    return store;
}

}  // namespace

TEST_CASE("an inspection reads back as it was written") {
    Inspection found;
    found.gauge = "bore gauge 12";
    found.bore_mm = 27.9915;
    found.bore_u_um = 1.5;
    found.seen = {SeenOnSeat::scored, SeenOnSeat::corroded};
    found.turns_freely = false;
    found.decision = Decision::rework;
    found.photo = std::string(64, 'a');
    found.text = "line \"one\"";
    const Inspection again = inspection_from_json(inspection_json(found));
    CHECK(again.gauge == found.gauge);
    CHECK(again.bore_mm == found.bore_mm);
    CHECK(again.bore_u_um == found.bore_u_um);
    CHECK(again.seen == found.seen);
    CHECK(again.turns_freely == found.turns_freely);
    CHECK(again.decision == found.decision);
    CHECK(again.photo == found.photo);
    CHECK(again.text == found.text);
    const Inspection little = inspection_from_json(R"({"seen":["clean"]})");
    CHECK(little.seen == std::vector<SeenOnSeat>{SeenOnSeat::clean});
    CHECK_FALSE(little.bore_mm);
    CHECK_FALSE(little.decision);
    CHECK_THROWS_AS(inspection_from_json(R"({"seen":["shiny"]})"), BadInput);
    CHECK_THROWS_AS(inspection_from_json(R"({"decision":"sell"})"), BadInput);
    CHECK_THROWS_AS(inspection_from_json("[]"), BadInput);
}

TEST_CASE("an inspection that contradicts itself or says nothing is refused") {
    Inspection found;
    CHECK_THROWS_AS(check_inspection(found), BadInput);
    found.seen = {SeenOnSeat::clean};
    CHECK_NOTHROW(check_inspection(found));
    found.seen = {SeenOnSeat::clean, SeenOnSeat::cracked};
    CHECK_THROWS_AS(check_inspection(found), BadInput);
    found.seen = {};
    found.bore_mm = 28;
    CHECK_THROWS_AS(check_inspection(found), BadInput);  // by which gauge?
    found.gauge = "plug 3";
    CHECK_NOTHROW(check_inspection(found));
    for (const double wrong : {0.0, -28.0, 28000.0, std::numeric_limits<double>::quiet_NaN()}) {
        found.bore_mm = wrong;
        CHECK_THROWS_AS(check_inspection(found), BadInput);
    }
    found.bore_mm = 28;
    for (const double wrong : {0.0, -1.0, 5000.0, std::numeric_limits<double>::infinity()}) {
        found.bore_u_um = wrong;
        CHECK_THROWS_AS(check_inspection(found), BadInput);
    }
    found.bore_mm.reset();
    found.bore_u_um = 2;
    CHECK_THROWS_AS(check_inspection(found), BadInput);
}

TEST_CASE("the commands keep entries that verify covers and review shows") {
    const Bench bench;
    const std::string store = keep_job(bench, (bench.folder / "entries.db").string());
    const std::string photo = bench.file("seat.png", small_png());
    const std::string at = " --store '" + store + "'";
    const auto entry = [&](const std::string& arguments) {
        const Ran ran = bench.run(arguments + at + " --json");
        INFO(arguments << "\n" << ran.out);
        REQUIRE(ran.status == 0);
        return ran.json().at("entry").as_int64();
    };
    CHECK(entry("note 1 'drift sat a little proud' --who Ada") == 1);
    CHECK(entry("inspect 1 --who Ada --gauge 'bore gauge 12' --bore-mm 27.9905 --bore-u-um 1.5 --seen scored,corroded --turns-freely no "
                "--decision rework --photo '" + photo + "' --text 'ring mark'") == 2);
    CHECK(entry("sign-off 1 'seen with the part' --who Grace") == 3);
    CHECK(entry("set-aside 1 'a trial pull' --who Ada") == 4);
    CHECK(entry("take-back 4 'it counts after all' --who Grace") == 5);
    CHECK(entry("inspect --item 'castor fork' --seat upper --who Ada --seen clean --decision reuse") == 6);

    const Ran shown = bench.run("review 1" + at);
    for (const char* expected : {"drift sat a little proud", "bore 27.9905 mm (u 1.5 µm) by bore gauge 12", "scored; corroded",
                                 "does not turn freely", "rework", "ring mark", "sign-off by Grace", "as nothing-unusual",
                                 "(taken back)", "it counts after all"})
        CHECK(on_one_line(shown.out).find(expected) != std::string::npos);
    const Ran seat = bench.run("review --item 'castor fork' --seat upper" + at);
    CHECK(seat.out.find("clean; reuse") != std::string::npos);
    CHECK(seat.out.find("ring mark") != std::string::npos);
    const auto json = bench.run("review 1 --json" + at).json();
    CHECK(json.at("entries").as_array().size() == 5);
    CHECK(json.at("entries").at(3).at("taken_back").as_bool());
    CHECK(json.at("seat_entries").as_array().size() == 6);

    {
        record::Store kept = record::Store::open(store, record::Mode::read);
        const std::string digest = hex(sha256(small_png()));
        const auto row = record::read_photo(kept, digest);
        REQUIRE(row);
        CHECK(row->bytes == small_png());
        CHECK(row->media_type == "image/png");
        const auto entries = entries_of_job(kept, 1);
        CHECK(inspection_from_json(entries[1].row.json).photo == digest);
        CHECK_FALSE(record::read_photo(kept, std::string(64, '0')));
        CHECK_FALSE(record::read_photo(kept, "no hash"));
        CHECK(record::verify(kept, "").findings.empty());
    }
    CHECK(bench.run("verify" + at).status == 0);
}

TEST_CASE("entries that make no sense are refused with status 2") {
    const Bench bench;
    const std::string store = keep_job(bench, (bench.folder / "refused.db").string());
    const std::string at = " --store '" + store + "'";
    const std::string text = bench.file("not.png", "hello");
    const std::string large = bench.file("large.jpg", "\xFF\xD8\xFF" + std::string((8 << 20), 'x'));
    REQUIRE(bench.run("note 1 hello --who Ada" + at).status == 0);
    REQUIRE(bench.run("take-back 1 'a slip' --who Ada" + at).status == 0);
    for (const std::string& arguments : {std::string("note 1 '  ' --who Ada"), std::string("note 1 hello --who ' '"),
                                        std::string("note 1 hello"), std::string("note 99 hello --who Ada"),
                                        std::string("set-aside 1 --who Ada"), std::string("take-back 99 why --who Ada"),
                                        std::string("take-back 1 again --who Ada"), std::string("take-back 2 undo --who Ada"),
                                        std::string("inspect 1 --who Ada"), std::string("inspect --who Ada --seen clean"),
                                        std::string("inspect 1 --item x --who Ada --seen clean"),
                                        std::string("inspect 1 --who Ada --seen shiny"),
                                        std::string("inspect 1 --who Ada --seen clean,cracked"),
                                        std::string("inspect 1 --who Ada --bore-mm 28"),
                                        std::string("inspect 1 --who Ada --gauge g --bore-mm 280"),
                                        std::string("inspect 1 --who Ada --gauge g --bore-mm nan"),
                                        std::string("inspect 1 --who Ada --decision sell"),
                                        "inspect 1 --who Ada --photo '" + text + "'", "inspect 1 --who Ada --photo '" + large + "'"}) {
        const Ran ran = bench.run(arguments + at);
        INFO(arguments << "\n" << ran.out);
        CHECK(ran.status == 2);
        CHECK(ran.out.find("null") == std::string::npos);
    }
    record::Store kept = record::Store::open(store, record::Mode::read);
    CHECK(record::read_entries(kept, 1).size() == 2);
    CHECK(record::verify(kept, "").findings.empty());
}
