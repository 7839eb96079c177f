// halfturn review ID as a caller sees it: what it says of the seat, and the exit status of the call.
#include <catch2/catch.hpp>
#include <sstream>

#include "core/utf8.hpp"
#include "practice_jobs/judged_job.hpp"

using namespace halfturn;
using namespace halfturn::test;

TEST_CASE("review and rejudge of a kept job") {
    // Asked before there is a bench: each bench clears the folder they share.
    const std::string job_text = example("job"), in_text = example("job-in"), rig_text = example("rig");
    const Bench bench;
    const std::string job = bench.file("job.toml", job_text), rig = bench.file("rig.toml", rig_text);
    const std::string job_in = bench.file("in.toml", in_text);
    const std::string option = " --store '" + (bench.folder / "s.db").string() + "'";
    const auto keep = [&](const char* scenario, std::uint64_t seed, const std::string& with) {
        const std::string log = bench.file(std::string(scenario) + ".jsonl", practise(scenario, seed).log);
        return bench.run("judge '" + log + "' --job '" + with + "' --rig '" + rig + "' --keep" + option)
            .status;
    };
    REQUIRE(keep("press-in", 3, job_in) == 0);
    REQUIRE(keep("clean", 3, job) == 0);
    const int galled = keep("galled", 3, job);
    REQUIRE(galled >= 10);

    const auto clean = bench.run("review 2 --json" + option);
    CHECK(clean.status == 0);
    const auto json = clean.json();
    CHECK(json.at("profile").at("shape") == "even");
    CHECK(json.at("profile").at("grip").as_array().size() == 32);
    CHECK(json.at("profile").at("compared").at("with") == "job 1");
    CHECK(json.at("findings").at(0).at("id") == "nothing-unusual");
    CHECK(number(json.at("findings").at(0).at("rates").at("false_alarm_rate")) < 0.1);
    const auto& fit = json.at("fit_read_backwards");
    CHECK(number(fit.at("interference_um").at("low")) < 20);
    CHECK(number(fit.at("interference_um").at("high")) > 20);
    CHECK(number(fit.at("break_loose_over_sliding")) > 1.05);

    const auto bad = bench.run("review 3" + option);
    CHECK(bad.status == galled);
    CHECK_THAT(bad.out, Catch::Contains("galled seat (galled)") &&
                            Catch::Contains("look at: scores along the bore") &&
                            Catch::Contains("simulated jobs without it"));
    // Torn metal is not the seat's shape: none is drawn, anywhere.
    CHECK_THAT(bad.out, Catch::Contains("so none is drawn") && !Catch::Contains("mm deep"));
    const auto torn = bench.run("review 3 --json" + option).json().at("profile");
    CHECK(torn.at("grip").as_array().empty());
    CHECK(torn.at("shape") == "cant-tell");
    CHECK_FALSE(torn.at("hidden").as_string().empty());
    CHECK(json.at("profile").at("hidden").as_string().empty());
    CHECK_THAT(bench.run("review 2" + option).out, Catch::Contains("mm deep"));
    std::istringstream lines(bad.out.substr(bad.out.find("What the curve says")));
    for (std::string line; std::getline(lines, line) && line.rfind("Fingerprint", 0) != 0;) {
        INFO(line);
        if (line.rfind("Job", 0) != 0) CHECK(columns(line) <= 80);
    }
    // A list exits with 0; judged again, the worst call counts.
    CHECK(bench.run("review" + option).status == 0);
    CHECK(bench.run("rejudge all" + option).status == galled);
    CHECK(bench.run("rejudge 2" + option).status == 0);
}
