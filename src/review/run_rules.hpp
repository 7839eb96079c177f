// Run rules: patterns in a row of values that chance alone seldom makes.
//   find_runs({0.2, 3.4, -0.1}, {false, false, false}, usual_rules())  ->  one run: beyond-limits, the second value
//
// The eight tests of ISO 8258:1991 and Nelson (J. Quality Technology 16, 1984), which ISO 7870-2 takes over as its list of
// unnatural patterns (list from memory, not looked up). Each rule that is added finds more and cries wolf more often, so
// only two are usual. On values that are in order (independent, normal, centre and sigma known) chance makes one signal in so
// many jobs on average:
//   beyond-limits 370 · one-side 511 · two-of-three 510 · four-of-five 290 · rising-or-falling 415 · alternating 580 ·
//   hugging 980 · avoiding 15 000 · the usual two together 217, that is 0.46 % a job · all eight together 74
// Where the limits come from the same jobs, 2 of 100 charts of 10 jobs in order show a signal of the usual two, 5 of 20
// jobs, 17 of 50 jobs. All measured by simulation; the simulation is checked against the run lengths of Champ and Woodall
// (Technometrics 29, 1987), which are exact, and against closed forms: tests/trends/run_rules_test.cpp.
#pragma once

#include <cstddef>
#include <cstdint>
#include <optional>
#include <string_view>
#include <vector>

namespace halfturn::review {

enum class RunRule : std::uint8_t {
    beyond_limits,      // one value more than 3 sigma from the centre
    one_side,           // nine in a row on one side of the centre
    rising_or_falling,  // six in a row, each higher (or each lower) than the one before
    alternating,        // fourteen in a row, up and down by turns
    two_of_three,       // two of three in a row more than 2 sigma out, on one side
    four_of_five,       // four of five in a row more than 1 sigma out, on one side
    hugging,            // fifteen in a row within 1 sigma
    avoiding,           // eight in a row all more than 1 sigma out, on both sides
};
std::string_view run_rule_id(RunRule rule);     // "beyond-limits", … stable
std::string_view run_rule_words(RunRule rule);  // "more than 3 sigma from the centre"
std::optional<RunRule> run_rule_from_id(std::string_view id);

struct RunRules {
    std::vector<RunRule> rules;
    // Length of one-side: nine by ISO 8258; Western Electric's eight and ISO 7870-2's seven come by chance twice and four
    // times as often.
    std::size_t one_side_length = 9;
};
RunRules usual_rules();  // beyond-limits and one-side
constexpr double usual_false_alarm_every = 217;  // jobs
RunRules all_rules();

// One pattern, told once however long it goes on.
struct Run {
    RunRule rule;
    std::size_t from = 0;  // the first value of the pattern
    std::size_t seen = 0;  // the value at which it was first complete
    std::size_t to = 0;    // the last value of it
};

// values: distances from the centre in sigmas, in order. gap_before[i]: i is no neighbour of the value before it, so that
// rules about steps (rising-or-falling, alternating) start anew there; rules about levels go on, as a level that changes
// across a gap is what they are for. Both lists of one length. By place, then by rule.
std::vector<Run> find_runs(const std::vector<double>& values, const std::vector<bool>& gap_before, const RunRules& rules);

}  // namespace halfturn::review
