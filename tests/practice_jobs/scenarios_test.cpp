// Every practice job, many seeds, judged with the printed example files: the call is one that a sound judge may come to,
// ordinary jobs get no warning at all, and the bad ones are warned of in time.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cstdio>

#include "practice_jobs/judged_job.hpp"

using namespace halfturn;
using namespace halfturn::test;

namespace {

bool allowed(const practice::ScenarioKind& kind, const Judgement& judgement) {
    return std::find(kind.calls.begin(), kind.calls.end(), call_id(judgement.call)) != kind.calls.end();
}

}  // namespace

TEST_CASE("every practice job ends in an allowed call, for every seed") {
    for (const auto& kind : practice::scenario_kinds()) {
        for (std::uint64_t seed = 1; seed <= 12; ++seed) {
            const Judgement judgement = judged(practise(kind.name, seed), example_set_up(kind.work));
            INFO(kind.name << ", seed " << seed << ": " << reasons(judgement));
            CHECK(allowed(kind, judgement));
        }
    }
}

TEST_CASE("a hundred ordinary jobs: no warning at all") {
    for (std::uint64_t seed = 1001; seed <= 1100; ++seed) {
        const PracticeJob job = practise("clean", seed);
        const Judgement judgement = judged(job, example_set_up(Work::out));
        INFO("seed " << seed << ": " << reasons(judgement));
        CHECK(judgement.warnings.empty());
        REQUIRE(judgement.break_loose);
        CHECK(judgement.phase == Phase::clear);
        // The recorded release is at most the true one, and the stated bound covers what readings missed.
        CHECK(judgement.break_loose->force_N < job.truth.release->force_N + 15);
        CHECK(judgement.break_loose->force_bound_N > job.truth.release->force_N - 15);
        CHECK(judgement.break_loose->turns_from_contact == Approx(job.truth.release->turns - job.truth.contact->turns).margin(0.06));
    }
}

TEST_CASE("twenty ordinary rings pressed in: no warning at all") {
    for (std::uint64_t seed = 2001; seed <= 2020; ++seed) {
        const Judgement judgement = judged(practise("press-in", seed), example_set_up(Work::in));
        INFO("seed " << seed << ": " << reasons(judgement));
        CHECK(judgement.warnings.empty());
        CHECK(judgement.phase == Phase::home);
    }
}
