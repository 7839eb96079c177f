// The practice jobs by name: what is on the press, how the hand turns and what goes wrong. The seed draws the values, so
// that no two jobs of a name are alike and each stays what its name says.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "practice/hand.hpp"
#include "practice/press.hpp"

namespace halfturn::practice {

// Something that happens to an instrument. It happens once the job has come so far.
enum class Mishap : std::uint8_t { none, cable_out, spikes, unit_key, zero_key, caliper_slips };
std::string_view mishap_name(Mishap mishap);

struct Scenario {
    std::string name;
    std::uint64_t seed = 0;
    PressSpec press;
    SeatSpec seat;
    HandHabit hand;
    Mishap mishap = Mishap::none;
    double mishap_at_N = 0;       // from this pull on …
    double mishap_at_turns = 0;   // … and so many turns past contact
    double mishap_s = 0;          // how long it lasts; spikes: time between two
    double follows_share = 0;     // of the travel, by a caliper that slips
    double tweak_zero_mm = 0;     // what the caliper shows at the start
};

// Values given by the user instead of drawn ones.
struct Wishes {
    std::optional<double> grip_N, friction, stiffness_N_per_mm, pitch_mm, slack_mm, seat_length_mm;
    std::optional<double> hand_turns_per_s;
    double brisk = 1;  // factor on the hand's speed once the ring moves
};

struct ScenarioKind {
    std::string_view name;
    std::string_view what;                     // one line for people
    Work work;
    std::vector<std::string_view> calls;       // ids of the calls a sound judge may come to
    void (*arrange)(Scenario&, Random&);
};

const std::vector<ScenarioKind>& scenario_kinds();
// No job: the pull is blocked, for calibrating. The hand brings the force to where it is asked for.
const ScenarioKind& blocked_pull();
// Of either. Throws BadInput naming the nearest name when there is none such.
const ScenarioKind& find_scenario(std::string_view name);
Scenario make_scenario(const ScenarioKind& kind, std::uint64_t seed, const Wishes& wishes);

}  // namespace halfturn::practice
