// Pulls laid over one another, on curves whose difference is known beforehand; and how like pulls are.
#include <catch2/catch.hpp>
#include <cmath>
#include <random>

#include "core/failure.hpp"
#include "practice_jobs/judged_job.hpp"
#include "review/comparison.hpp"
#include "review/comparison_text.hpp"
#include "review/likeness.hpp"
#include "review/synthetic.hpp"

using namespace halfturn;
using namespace halfturn::review;
using namespace halfturn::test;

namespace {

// Force rising evenly with the turns, with noise of its own.
PullCurve ramp(const std::string& label, double N_per_turn, double noise_N = 0, unsigned seed = 1, double from = 0) {
    PullCurve curve;
    curve.label = label;
    curve.certificate = "one";
    std::mt19937 random(seed);
    std::normal_distribution<double> noise(0, noise_N > 0 ? noise_N : 1);
    for (double n = 0; n <= 1.0005; n += 0.001) curve.points.push_back({from + n, N_per_turn * n + (noise_N > 0 ? noise(random) : 0)});
    curve.noise_N = noise_N;
    curve.peak_N = N_per_turn;
    return curve;
}

}  // namespace

TEST_CASE("The difference of two ramps is the ramps' difference") {
    const Comparison c = compare({ramp("a", 1000), ramp("b", 1100), ramp("c", 950)}, Align::contact);
    REQUIRE(c.turns.size() == comparison_points);
    REQUIRE(c.jobs.size() == 3);
    for (std::size_t i = 0; i < c.turns.size(); ++i) {
        REQUIRE(c.jobs[1].difference_N[i]);
        CHECK(*c.jobs[0].force_N[i] == Approx(1000 * c.turns[i]).margin(1e-6));
        CHECK(*c.jobs[1].difference_N[i] == Approx(100 * c.turns[i]).margin(1e-6));
        CHECK(*c.jobs[2].difference_N[i] == Approx(-50 * c.turns[i]).margin(1e-6));
        CHECK_FALSE(c.jobs[0].difference_N[i]);
    }
    CHECK(c.jobs[1].compared_share == 1);
    CHECK(c.jobs[1].share_beyond > 0.9);
    CHECK_THAT(c.jobs[1].says, Catch::Contains("higher"));
    CHECK_THAT(c.jobs[2].says, Catch::Contains("lower"));
}

TEST_CASE("The doubt covers what noise makes of one and the same curve") {
    // JCGM 100: an expanded uncertainty with k = 2 covers about 95 % of a normal scatter.
    int covered = 0, all = 0;
    for (unsigned seed = 1; seed <= 40; ++seed) {
        const Comparison c = compare({ramp("a", 0, 5, seed), ramp("b", 0, 5, seed + 1000)}, Align::contact);
        for (std::size_t i = 0; i < c.turns.size(); ++i) {
            if (!c.jobs[1].difference_N[i]) continue;
            ++all;
            covered += std::fabs(*c.jobs[1].difference_N[i]) <= *c.jobs[1].U_N[i];
        }
    }
    const double share = static_cast<double>(covered) / all;
    INFO(share);
    CHECK(share > 0.94);
    CHECK(share < 0.9999);
}

TEST_CASE("Other certificates add one percent, the same one nothing") {
    PullCurve a = ramp("a", 1000), b = ramp("b", 1000);
    const double same = *compare({a, b}, Align::contact).jobs[1].U_N.back();
    b.certificate = "two";
    const double other = *compare({a, b}, Align::contact).jobs[1].U_N.back();
    CHECK(other == Approx(std::hypot(same, 2 * 0.01 * 1000)).epsilon(1e-9));
}

TEST_CASE("Curves are laid together at contact or at release") {
    PullCurve a = ramp("a", 1000), b = ramp("b", 1000, 0, 1, 0.2);
    a.release_turns = 0.5;
    b.release_turns = 0.7;
    const Comparison at_contact = compare({a, b}, Align::contact), at_rel = compare({a, b}, Align::release);
    CHECK(at_contact.turns.front() == Approx(0));
    CHECK(at_contact.turns.back() == Approx(1.2).margin(1e-9));
    CHECK(at_contact.jobs[1].compared_share == Approx(0.8 / 1.2).margin(0.01));
    CHECK(at_contact.jobs[1].share_beyond > 0.9);
    CHECK(at_rel.turns.front() == Approx(-0.5));
    CHECK(at_rel.jobs[1].compared_share == Approx(1).margin(0.01));
    CHECK(std::fabs(at_rel.jobs[1].largest_N) < 1e-6);
    CHECK_THAT(at_rel.jobs[1].says, Catch::Contains("No difference"));
}

TEST_CASE("A gap in the readings stays a gap") {
    PullCurve a = ramp("a", 1000), b = ramp("b", 1000);
    std::erase_if(b.points, [](const PullCurve::Point& p) { return p.turns > 0.3 && p.turns < 0.6; });
    const Comparison c = compare({a, b}, Align::contact);
    for (std::size_t i = 0; i < c.turns.size(); ++i)
        CHECK(c.jobs[1].force_N[i].has_value() == (c.turns[i] <= 0.3001 || c.turns[i] >= 0.5999));
    CHECK(c.jobs[1].compared_share == Approx(0.7).margin(0.01));
}

TEST_CASE("What can't be compared is refused in words") {
    PullCurve a = ramp("job 1", 1000), in = ramp("job 2", 1000), empty = ramp("job 3", 1);
    in.work = Work::in;
    empty.points.clear();
    CHECK_THROWS_WITH(compare({a}, Align::contact), Catch::Contains("two jobs"));
    CHECK_THROWS_WITH(compare({a, in}, Align::contact), Catch::Contains("job 2"));
    CHECK_THROWS_WITH(compare({a, empty}, Align::contact), Catch::Contains("job 3"));
    CHECK_THROWS_WITH(compare({a, a}, Align::release), Catch::Contains("never broke loose"));
    CHECK_THROWS_AS(compare(std::vector<PullCurve>(13, a), Align::contact), BadInput);
}

TEST_CASE("A repeat of one seat is the same, a tighter seat is not") {
    SyntheticSeat seat, tight;
    tight.full_N = 1.25 * seat.full_N;
    int said_to_differ = 0;
    for (unsigned seed = 1; seed <= 10; ++seed) {
        SyntheticSeat one = seat, other = seat, tighter = tight;
        one.seed = seed, other.seed = seed + 100, tighter.seed = seed + 200;
        const SyntheticJob a = job_of(one), b = job_of(other), c = job_of(tighter);
        const Comparison compared =
            compare({curve_of("a", a.evidence()), curve_of("b", b.evidence()), curve_of("c", c.evidence())}, Align::contact);
        said_to_differ += compared.jobs[1].share_beyond > 0.05;
        CHECK(compared.jobs[2].share_beyond > 0.5);
        CHECK_THAT(compared.jobs[2].says, Catch::Contains("higher"));
        // While it slides, a quarter more of the force.
        const std::size_t i = comparison_points / 3;
        REQUIRE(compared.jobs[2].difference_N[i]);
        CHECK(*compared.jobs[2].difference_N[i] == Approx(0.25 * *compared.jobs[0].force_N[i]).epsilon(0.1));
        const std::string text = comparison_text(compared);
        CHECK_THAT(text, Catch::Contains("beyond the doubt"));
    }
    CHECK(said_to_differ <= 1);
}

TEST_CASE("The table shows every job, however many, within 80 columns") {
    for (const std::size_t count : {2u, 4u, 5u, 8u, 12u}) {
        std::vector<PullCurve> curves;
        for (std::size_t i = 0; i < count; ++i) curves.push_back(ramp("job " + std::to_string(i + 1), 1000 + 100 * static_cast<double>(i)));
        const std::string text = comparison_text(compare(curves, Align::contact));
        std::istringstream lines(text);
        std::size_t headings = 0, table_lines = 0;
        for (std::string line; std::getline(lines, line); ++table_lines) {
            INFO(line);
            CHECK(line.size() <= 80);
            headings += line.find("turns") < 10;
        }
        CHECK(headings == (count - 1 + 2) / 3);
        CHECK(table_lines >= 16 * headings);
        for (std::size_t i = 1; i < count; ++i) {
            const std::string heading = "job " + std::to_string(i + 1) + ", N apart";
            INFO(heading);
            const auto at = text.find(" " + heading);
            REQUIRE(at != std::string::npos);
            CHECK(text.find(" " + heading, at + 1) == std::string::npos);
        }
    }
}

TEST_CASE("A repeat is near, another seat far") {
    SyntheticSeat even, tapered, stiff;
    tapered.grip = [](double z) { return 1 + 1.2 * (z - 0.5); };
    tapered.full_N = 1.5 * even.full_N;
    const auto features = [](SyntheticSeat seat, unsigned seed) {
        seat.seed = seed;
        return features_of(job_of(seat).evidence());
    };
    const PullFeatures one = features(even, 1);
    REQUIRE(one.ratio);
    REQUIRE(one.slope);
    REQUIRE(one.shape);
    CHECK(*one.ratio == Approx(std::log(1.25 * 800 / 950)).margin(0.03));     // release over the band's middle
    CHECK(*one.slope == Approx(std::log(even.stiffness_N_per_mm)).margin(0.05));  // the press winds up by its stiffness
    for (unsigned seed = 2; seed <= 6; ++seed) {
        CHECK(*distance(one, features(even, seed)) < 0.5);
        CHECK(*distance(one, features(tapered, seed)) > 1.5);
    }
    CHECK(*distance(one, one) == 0);
    CHECK(*distance(one, features(tapered, 2)) == Approx(*distance(features(tapered, 2), one)));
    CHECK_FALSE(distance(one, PullFeatures()));
    PullFeatures ratio_only;
    ratio_only.ratio = *one.ratio + 0.15;
    CHECK(*distance(one, ratio_only) == Approx(1));
}

TEST_CASE("halfturn compare") {
    const std::string job_text = example("job"), in_text = example("job-in"), rig_text = example("rig");
    const Bench bench;
    const std::string job = bench.file("job.toml", job_text), job_in = bench.file("in.toml", in_text),
                      rig = bench.file("rig.toml", rig_text);
    const std::string option = " --store '" + (bench.folder / "s.db").string() + "'";
    const auto keep = [&](const char* scenario, std::uint64_t seed, const std::string& with) {
        const std::string log = bench.file("log.jsonl", practise(scenario, seed).log);
        REQUIRE(bench.run("judge '" + log + "' --job '" + with + "' --rig '" + rig + "' --keep" + option).status >= 0);
    };
    keep("clean", 3, job);
    keep("clean", 4, job);
    keep("galled", 3, job);
    keep("press-in", 3, job_in);

    const Ran two = bench.run("compare 1 2 3 --json" + option);
    INFO(two.out);
    REQUIRE(two.status == 0);
    const auto json = two.json();
    CHECK(json.at("align") == "contact");
    CHECK(json.at("turns").as_array().size() == comparison_points);
    CHECK(json.at("jobs").as_array().size() == 3);
    CHECK(json.at("records").as_array().size() == 3);
    CHECK(number(json.at("jobs").at(2).at("share_beyond")) > 0.5);
    CHECK(std::fabs(number(json.at("jobs").at(2).at("largest_N"))) > 500);  // torn metal
    const Ran text = bench.run("compare 1 2 --align release" + option);
    CHECK(text.status == 0);
    CHECK_THAT(text.out, Catch::Contains("Laid together at release") && Catch::Contains("turns"));
    CHECK(bench.run("compare 1 4" + option).status == 2);
    CHECK(bench.run("compare 1 99" + option).status == 2);
    CHECK(bench.run("compare 1 2 --align start" + option).status == 2);

    const Ran like = bench.run("compare 1 --json" + option);
    INFO(like.out);
    REQUIRE(like.status == 0);
    const auto found = like.json();
    CHECK(found.at("compared").to_number<int>() == 2);
    REQUIRE(found.at("like").as_array().size() == 2);
    CHECK(found.at("like").at(0).at("record").at("number").to_number<int>() == 2);
    CHECK(number(found.at("like").at(0).at("distance")) < number(found.at("like").at(1).at("distance")));
    CHECK_THAT(bench.run("compare 1" + option).out, Catch::Contains("most like job 1"));
}
