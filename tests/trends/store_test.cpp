// Trends and families from a store of kept jobs: what a caller sees of `trends`, `expect --family` and `judge --family`.
#include <catch2/catch.hpp>

#include <cstdlib>

#include "record/reader.hpp"
#include "review/entries.hpp"
#include "run_halfturn.hpp"

using namespace halfturn;
using halfturn::test::Bench;
using halfturn::test::number;
using halfturn::test::Ran;

namespace {

constexpr int kept = 9, aside = 4, stuck = 9;

// A workshop's store: eight clean jobs on eight pieces and one whose ring was bonded, all of one family, one of them set
// aside. Kept once for all tests here.
class Workshop {
public:
    Workshop() {
        job = bench.file("job.toml", bench.run("example job").out);
        rig = bench.file("rig.toml", bench.run("example rig").out);
        for (int i = 1; i <= kept; ++i) {
            const std::string mine = bench.file("job" + std::to_string(i) + ".toml", renamed("castor fork " + std::to_string(100 + i)));
            const Ran ran = judge(i == stuck ? "bonded" : "clean", i, mine, " --keep");
            if (ran.status != 0 && ran.status != 10 && ran.status != 20) throw std::runtime_error(ran.out);
        }
        record::Store store = record::Store::open(path(), record::Mode::write);
        review::add_set_aside(store, record::find_job(store, std::to_string(aside)), "Ada", "the cable was loose");
    }

    std::string path() const { return (bench.folder / "workshop.db").string(); }
    std::string option() const { return " --store '" + path() + "'"; }
    Ran judge(const std::string& kind, int seed, const std::string& job_file, const std::string& more) const {
        const std::string log = (bench.folder / "log.jsonl").string();
        const std::string make =
            "'" HALFTURN_BUILD_DIR "/halfturn-practice' log " + kind + " --seed " + std::to_string(seed) + " --out '" + log + "'";
        if (std::system(make.c_str()) != 0) throw std::runtime_error("can't run: " + make);
        return bench.run("judge '" + log + "' --job '" + job_file + "' --rig '" + rig + "' --json" + option() + more);
    }
    std::string renamed(const std::string& item) const {
        std::string text = bench.run("example job").out;
        return text.replace(text.find("castor fork 17"), 14, item);
    }

    Bench bench;
    std::string job, rig;
};

const Workshop& workshop() {
    static const Workshop one;
    return one;
}

double width(const boost::json::value& band) { return number(band.at("high")) - number(band.at("low")); }

}  // namespace

TEST_CASE("expect --family is narrower, shows prior and posterior, and holds the jobs it learned from") {
    const Workshop& shop = workshop();
    const std::string expect = "expect '" + shop.job + "' --rig '" + shop.rig + "' --json";
    const auto plain = shop.bench.run(expect).json(), learned = shop.bench.run(expect + " --family" + shop.option()).json();
    CHECK_FALSE(plain.as_object().contains("family"));
    const auto& family = learned.at("family");
    CHECK(family.at("jobs") == kept);
    CHECK(family.at("used") == kept - 2);
    REQUIRE(family.at("left_out").as_array().size() == 2);
    CHECK(family.at("left_out").at(0).at("number") == aside);
    CHECK(family.at("left_out").at(0).at("because") == "set aside by Ada: the cable was loose");
    CHECK(family.at("left_out").at(1).at("number") == stuck);
    CHECK(family.at("left_out").at(1).at("because") == "its call is stop and inspect");

    const auto& before = family.at("prior").at("break_loose_N");
    const auto& after = family.at("posterior").at("break_loose_N");
    CHECK(before == plain.at("expected").at("break_loose_N"));
    CHECK(after == learned.at("expected").at("break_loose_N"));
    CHECK(width(after) < 0.8 * width(before));
    CHECK(width(family.at("posterior").at("friction")) < width(family.at("prior").at("friction")));
    // The jobs learned from, and others of the kind that it has not seen.
    int held = 0, jobs = 0;
    const auto count = [&](const boost::json::value& judged) {
        const double force_N = number(judged.at("break_loose").at("force_N"));
        ++jobs;
        held += number(after.at("low")) <= force_N && force_N <= number(after.at("high"));
    };
    for (int i = 1; i < kept; ++i)
        if (i != aside) count(shop.bench.run("review " + std::to_string(i) + " --json" + shop.option()).json());
    for (int seed = 51; seed < 54; ++seed) count(shop.judge("clean", seed, shop.job, "").json());
    CHECK(jobs == 10);
    CHECK(held >= 9);

    const std::string text = shop.bench.run("expect '" + shop.job + "' --rig '" + shop.rig + "' --family" + shop.option()).out;
    CHECK_THAT(text, Catch::Contains("Learned from 7 of 9 earlier jobs of its family") && Catch::Contains("before that") &&
                         Catch::Contains("left out: job 4, set aside by Ada"));
}

TEST_CASE("a store without such jobs leaves the band to the last bit") {
    const Workshop& shop = workshop();
    std::string other = shop.renamed("castor fork 17");
    other.replace(other.find("6061-T6"), 7, "7075-T6");
    const std::string job = shop.bench.file("other.toml", other), expect = "expect '" + job + "' --rig '" + shop.rig + "' --json";
    auto plain = shop.bench.run(expect).json(), learned = shop.bench.run(expect + " --family" + shop.option()).json();
    CHECK(learned.at("family").at("jobs") == 0);
    CHECK(learned.at("family").at("used") == 0);
    CHECK(learned.at("family").at("prior") == learned.at("family").at("posterior"));
    learned.as_object().erase("family");
    CHECK(plain == learned);
    CHECK(shop.bench.run(expect + " --family --store '" + (shop.bench.folder / "none.db").string() + "'").status == 2);
}

TEST_CASE("a job judged with its family freezes the numbers, and teaches the next one from before them") {
    const Workshop& shop = workshop();
    const std::string copy = (shop.bench.folder / "copy.db").string();
    REQUIRE(shop.bench.run("export --store-copy '" + copy + "'" + shop.option()).status == 0);
    const std::string at = " --store '" + copy + "'";
    const std::string log = (shop.bench.folder / "again.jsonl").string();
    REQUIRE(std::system(("'" HALFTURN_BUILD_DIR "/halfturn-practice' log clean --seed 31 --out '" + log + "'").c_str()) == 0);
    const auto judged =
        shop.bench.run("judge '" + log + "' --job '" + shop.job + "' --rig '" + shop.rig + "' --json --family --keep" + at)
            .json();
    record::Store store = record::Store::open(copy, record::Mode::read);
    const auto set_up = record::read_set_up(store, kept + 1);
    const auto frozen = boost::json::parse(set_up.expectation_json);
    CHECK(frozen.at("family").at("used") == kept - 2);
    CHECK(set_up.break_loose_N.mid == number(frozen.at("family").at("posterior").at("break_loose_N").at("mid")));
    CHECK(judged.at("expected").at("break_loose_N") == frozen.at("family").at("posterior").at("break_loose_N"));
    bool marked = false;
    for (const auto& mark : set_up.marks) marked |= mark.find("learned from 7 earlier jobs") != std::string::npos;
    CHECK(marked);
    CHECK(shop.bench.run("rejudge " + std::to_string(kept + 1) + " --json" + at).json().at("agreement") == "same");
    // Its own pull now counts, read against what was expected before anything was learned.
    const auto next = shop.bench.run("expect '" + shop.bench.file("next.toml", shop.renamed("castor fork 300")) + "' --rig '" + shop.rig +
                                     "' --json --family" + at).json();
    CHECK(next.at("family").at("used") == kept - 1);
    CHECK(next.at("family").at("prior") == frozen.at("family").at("prior"));
    // The same seat once more: the newest pull counts for it.
    CHECK(shop.bench.run("judge '" + log + "' --job '" + shop.job + "' --rig '" + shop.rig + "' --family --keep" + at).status != 2);
    const auto once = shop.bench.run("expect '" + shop.job + "' --rig '" + shop.rig + "' --json --family" + at).json();
    CHECK(once.at("family").at("jobs") == kept + 2);
    CHECK(once.at("family").at("used") == kept - 1);
    bool same_seat = false;
    for (const auto& left : once.at("family").at("left_out").as_array())
        same_seat |= left.at("number") == kept + 1 && left.at("because") == "the same seat as job 11, which counts for it";
    CHECK(same_seat);
}

TEST_CASE("trends of a store") {
    const Workshop& shop = workshop();
    const auto trend = shop.bench.run("trends --json" + shop.option()).json();
    REQUIRE(trend.at("charts").as_array().size() == 1);
    const auto& points = trend.at("charts").at(0).at("points").as_array();
    CHECK(points.size() == kept - 1 - (trend.at("left_out").as_array().size() - 1));
    CHECK(trend.at("left_out").at(0).at("number") == aside);
    CHECK(trend.at("left_out").at(0).at("because") == "set aside by Ada: the cable was loose");
    const auto one = shop.bench.run("review 1 --json" + shop.option()).json();
    CHECK(number(points[0].at("value")) ==
          Approx(number(one.at("break_loose").at("force_N")) / number(one.at("expected").at("break_loose_N").at("mid"))));
    CHECK(points[3].at("number") == aside + 1);
    CHECK(points[3].at("gap") == "a job between is left out");
    CHECK(points[3].at("moving_range").is_null());

    for (const std::string figure : {"interference", "friction", "over-sliding", "release-turns", "loading-slope", "contact"}) {
        const auto other = shop.bench.run("trends --of " + figure + " --by family --json" + shop.option()).json();
        INFO(figure);
        REQUIRE(other.at("charts").as_array().size() == 1);
        CHECK(other.at("charts").at(0).at("group") == "61902 in 6061-T6, flush shape, measured bore");
        CHECK(other.at("charts").at(0).at("points").as_array().size() >= 6);
    }
    const auto slope = shop.bench.run("trends --of loading-slope --json" + shop.option()).json();
    for (const auto& point : slope.at("charts").at(0).at("points").as_array()) CHECK(number(point.at("value")) > 1000);

    const Ran text = shop.bench.run("trends" + shop.option());
    CHECK(text.status == 0);
    CHECK_THAT(text.out, Catch::Contains("Trend of the break-loose force over expected") && Catch::Contains("Left out\n  job 4: set aside by Ada"));
    CHECK(shop.bench.run("trends --practice --json" + shop.option()).json().at("passed_over") == kept);
    CHECK(shop.bench.run("trends --by who --only Kim --json" + shop.option()).json().at("charts").as_array().size() == 1);
    CHECK(shop.bench.run("trends --by who --only nobody --json" + shop.option()).json().at("charts").as_array().empty());
    CHECK(shop.bench.run("trends --of height" + shop.option()).status == 2);
    CHECK(shop.bench.run("trends --of driving" + shop.option()).status == 0);
    CHECK(shop.bench.run("trends --of break-loose --in" + shop.option()).status == 2);
    CHECK(shop.bench.run("trends --low 2 --high 1" + shop.option()).status == 2);
    CHECK(shop.bench.run("trends --store '" + (shop.bench.folder / "none.db").string() + "'").status == 2);
}
