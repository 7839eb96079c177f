// What this job should need on this rig: the force to break the ring loose, the force turn by turn, and how sure that is.
//   const Expectation e = expect(facts_from(job, &rig), seed);   e.break_loose_N.low … e.break_loose_N.high
//
// Method: the seat model (seat_model.hpp) over 16384 low-discrepancy draws of its inputs, each looked at with 8 frictions;
// bands are the 2.5, 50 and 97.5 % quantiles. The curve's bands are taken point by point over 1024 of the draws. Pure, and
// the same bits for the same facts and seed.
// Valid: elastic, round, clean seats of small ball bearings (10 to 30 mm bore).
//
// Largest error, beside the doubts stated in rests_on
//   sampling, low / high edge of the band    0.2 / 0.15 % standard deviation over seeds   tests/curve: replicates
//   bands against plain Monte Carlo          hold 94.5 to 95.5 % of seats                 tests/curve: bands hold 95
//   grip per um, closed formula              6 % against finite elements                  tests/curve/grip_fe.csv
// Time: the band 1/23 of a million sorted normal draws, a refit about three bands (test_curve "[bench]").
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "core/set_up.hpp"
#include "curve/family.hpp"
#include "curve/grip_table.hpp"
#include "curve/seat_facts.hpp"

namespace halfturn::curve {

// A number and what it rests on.
struct Ground {
    std::string what;   // "seat bore"
    std::string value;  // "27.972 to 27.993 mm"
    fit::Source source;
};

// What a family taught: the bands before and after, of how many jobs.
struct FamilyLearned {
    std::string name;
    int jobs = 0, used = 0;  // on record; learned from
    std::vector<FamilyJobs::LeftOut> left_out;
    struct Bands {
        Band break_loose_N, interference_um, friction;
    } prior, posterior;
    double own_share = 0;  // of the prior's variance, what seats of this family seem to differ by among themselves
};

struct Expectation {
    Band interference_um;                   // diametral; negative: loose
    Band pressure_MPa;                      // mean over the seat
    Band clearance_left_um;                 // radial play of the bearing in its seat; negative: preloaded
    double loose_probability = 0;           // that nothing presses at all
    Band break_loose_N;                     // out: release; in: driving just before home
    Band sliding_N;                         // out: just after release; in: as break_loose_N
    std::optional<double>
        cocks_after_mm;  // off the axis: slid this far, what is engaged is short enough to cock (mu e/L 0.30)
    std::optional<Band> knee_N;     // off the axis: where the ring starts to pivot, which is not the release
    Band break_loose_turns;         // turns from contact; all 0 without a pitch
    std::vector<CurvePoint> curve;  // turns since contact; empty without a pitch
    std::vector<GripPoint> grip_fall;
    double seat_length_mm = 0;  // out: slides this far until clear; in: until home
    Band end_turns;             // turns from contact until clear or home
    Band stiffness_N_per_mm;
    bool stiffness_measured = false;
    std::optional<Band> limit_turns;  // turn at which a stuck ring would bring the rig to its limit
    std::optional<double>
        limit_N;           // the lowest of the rig's limit, the load cell's capacity, the screw's proof load
    std::string limit_is;  // "force limit of the rig", "proof load of the M8 8.8 screw"
    double fastest_turns_per_s = 0;      // 0: not known
    std::string fastest_because;         // "so that …"
    double force_step_N_at_fastest = 0;  // force gained between two readings at that speed
    std::string widest_input;            // a sentence
    GripTable grip;  // as it was before anything was learned
    std::optional<FamilyLearned> family;  // when earlier jobs were asked for; all but grip is then as they leave it
    std::vector<Ground> rests_on;
    std::vector<std::string> advice;
    std::uint64_t seed = 0;
};

// family: earlier jobs that may narrow it (family.hpp); without any that can be used the numbers are those without a family.
// A bonded seat learns nothing from others.
Expectation expect(const SeatFacts& facts, std::uint64_t seed, const FamilyJobs* family = nullptr);

// The frozen set-up's share of an expectation: bands, curve, grip fall, stiffness, pitch, limit. Everything
// else of the set-up is left as it is.
void put_into(const Expectation& expectation, const SeatFacts& facts, SetUp& set_up);

// For people (80 columns, with a plot in block characters) and for programs (keys as in the contracts).
std::string expectation_text(const Expectation& expectation, const SeatFacts& facts);
std::string expectation_json(const Expectation& expectation);

}  // namespace halfturn::curve
