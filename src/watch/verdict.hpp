// What the judge says: calls, phases, warnings and the whole judgement of a job. Plain data; how it is worded for JSON and
// for people stands in judgement_json.hpp and in each rule.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/event.hpp"
#include "core/set_up.hpp"

namespace halfturn {

enum class Call : std::uint8_t { nothing_unusual, look_closer, cant_tell, stop_and_inspect };  // by rising precedence
std::string_view call_id(Call call);     // "nothing-unusual", … stable
std::string_view call_words(Call call);  // "nothing unusual", "can't tell", …
int call_exit_status(Call call);         // 0, 10, 30, 20

// Out: slack, loading, sliding, clear. In: slack, entering, driving, home.
enum class Phase : std::uint8_t { slack, loading, sliding, clear, entering, driving, home };
std::string_view phase_name(Phase phase);   // "loading", a stable id
std::string_view phase_words(Phase phase);  // what of the ring: "loaded, not broken loose"

// What the hand does now; the one word a mechanic reads at a metre.
enum class HandWord : std::uint8_t { turn, slower, wait, stop };
std::string_view hand_word(HandWord word);

struct Warning {
    std::string_view rule;   // stable id
    Call call = Call::look_closer;
    Instant at = 0;
    double turns = 0;        // since contact
    double force_N = 0;
    std::string says;        // what was seen, one sentence
    std::string_view hands;  // what to do with the hands now
    std::vector<std::string_view> inspect;  // what to look at
};

struct BreakLoose {
    Instant at = 0;
    double turns = 0;               // of the screw, from the job's zero
    double turns_from_contact = 0;
    double force_N = 0;             // the largest reading
    double force_bound_N = 0;       // what it may have been between two readings
};

struct Judgement {
    Call call = Call::nothing_unusual;
    std::vector<std::string> reasons;
    Phase phase = Phase::slack;
    std::optional<double> contact_turns;
    std::optional<BreakLoose> break_loose;
    double peak_N = 0;
    std::vector<Warning> warnings;
    std::vector<std::string> can_judge, cannot_judge;
    bool ended_by_hand = false;     // ended before the ring was clear or home
    std::string fingerprint;        // "sha256:…"
    std::string judge;              // version
};

// What this rig's channels allow to judge, in plain words, before a job starts.
struct Reach {
    std::vector<std::string> can, cannot;
};
Reach what_can_be_judged(const SetUp& set_up);

// The version covers everything from formats to calls. A changed golden fingerprint asks for a new one.
constexpr std::string_view judge_version = "3";

}  // namespace halfturn
