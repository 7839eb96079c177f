// How early the bad practice jobs are warned of, against what really happened on the press, and what is spared when the
// hand obeys. Prints the table.
#include <algorithm>
#include <catch2/catch.hpp>
#include <cstdio>

#include "practice_jobs/judged_job.hpp"

using namespace halfturn;
using namespace halfturn::test;

namespace {

constexpr std::uint64_t seeds = 8;

struct Early {
    std::string rule;
    double before_peak_s = 0, below_peak_N = 0;  // the first warning, against the job's largest force
    double after_cause_s = 0;                    // … and after whatever went wrong, where the truth names a moment
    double obeyed_peak_N = 0;                    // the largest force when the hand hears the word
};

Early how_early(std::string_view name, Work work, std::uint64_t seed) {
    const PracticeJob job = practise(name, seed);
    const SetUp& set_up = example_set_up(work);
    const Judgement judgement = judged(job, set_up);
    INFO(name << ", seed " << seed << ": " << reasons(judgement));
    REQUIRE_FALSE(judgement.warnings.empty());
    const Warning& first = judgement.warnings.front();
    Early early;
    early.rule = std::string(first.rule);
    early.before_peak_s = job.truth.peak.t_s - seconds(first.at);
    early.below_peak_N = job.truth.peak.force_N - first.force_N;
    const auto& cause = job.truth.mishap_at ? job.truth.mishap_at : job.truth.drift_slip;
    if (cause) early.after_cause_s = seconds(first.at) - cause->t_s;
    practice::LogWish wish;
    wish.words = {{seconds(first.at), practice::Word::stop}};
    early.obeyed_peak_N = practise(name, seed, {}, wish).truth.peak.force_N;
    return early;
}

struct Row {
    Early least;
    double most_after_cause_s = 0, most_obeyed_N = 0;
};

Row table_row(std::string_view name, Work work = Work::out) {
    Row row;
    std::string rules;
    for (std::uint64_t seed = 1; seed <= seeds; ++seed) {
        const Early early = how_early(name, work, seed);
        if (seed == 1) row.least = early;
        row.least.before_peak_s = std::min(row.least.before_peak_s, early.before_peak_s);
        row.least.below_peak_N = std::min(row.least.below_peak_N, early.below_peak_N);
        row.most_after_cause_s = std::max(row.most_after_cause_s, early.after_cause_s);
        row.most_obeyed_N = std::max(row.most_obeyed_N, early.obeyed_peak_N);
        if (rules.find(early.rule) == std::string::npos) rules += (rules.empty() ? "" : ", ") + early.rule;
    }
    std::printf("%-16s at least %6.2f s and %6.0f N before the peak, at most %5.2f s after the cause; obeyed: at most %5.0f N  (%s)\n",
                std::string(name).c_str(), row.least.before_peak_s, row.least.below_peak_N, row.most_after_cause_s, row.most_obeyed_N,
                rules.c_str());
    return row;
}

}  // namespace

TEST_CASE("bad jobs are warned of in time", "[early]") {
    constexpr double limit_N = 5000;  // of the printed example rig
    // Too tight: long before the largest force, and a hand that obeys stays below the rig's limit.
    for (const char* name : {"bonded", "seized"}) {
        const Row row = table_row(name);
        CHECK(row.least.before_peak_s > 1);
        CHECK(row.least.below_peak_N > 2000);
        CHECK(row.most_obeyed_N < limit_N);
    }
    CHECK(table_row("tilting").least.before_peak_s > 0);
    CHECK(table_row("galled").least.before_peak_s > 5);
    CHECK(table_row("drift-slips").most_after_cause_s < 0.8);  // a turn reading that lags half a second tells it from backing off
    // Before the next stroke: the ring still holds, or has just moved.
    CHECK(table_row("loose-seat").least.before_peak_s > -2.5);
    CHECK(table_row("fast-hand").least.before_peak_s > -0.5);
    CHECK(table_row("unplugged").most_after_cause_s < 0.2);
    CHECK(table_row("unit-key").most_after_cause_s < 0.3);
    CHECK(table_row("zero-key").most_after_cause_s < 0.6);
    CHECK(table_row("caliper-slips").most_after_cause_s < 5);  // the missing travel must first outgrow what readings may hide
    CHECK(table_row("held-end-creeps").most_obeyed_N < 1000);
    const Row overdriven = table_row("overdriven", Work::in);
    CHECK(overdriven.least.before_peak_s > 0.3);
    CHECK(overdriven.most_obeyed_N < limit_N);
}
