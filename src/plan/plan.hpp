// What to know before the press is touched: whether this job goes with these parts, with which of them, at what force and
// torque, and in what order.
//   const Plan plan = make_plan(job, &rig, inventory, seed);   plan.answer, plan.parts.drift.why, plan.torque->set_Nm
//
// Method: parts by size (parts.hpp), then the expectation (curve/expectation.hpp) with the chosen drift and screw, then one
// check after another, each graded; the answer is the worst grade. Pure: no clock, no files.
// Every check names its source; margins without one say "common practice, no published source".
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "curve/expectation.hpp"
#include "plan/parts.hpp"

namespace halfturn::plan {

enum class Answer : std::uint8_t { go_ahead, with_care, not_this_way };
std::string_view answer_id(Answer answer);     // "go-ahead", "with-care", "not-this-way"; stable
int answer_exit_status(Answer answer);         // 0, 10, 20

// note: worth knowing, changes nothing. not_checked: something was not measured.
enum class Grade : std::uint8_t { fine, note, not_checked, with_care, not_this_way };
std::string_view grade_id(Grade grade);

// The source of a rule that stands in no book.
inline constexpr const char* common_practice = "common practice, no published source";

struct Check {
    std::string id;  // kebab-case, stable
    Grade grade = Grade::fine;
    std::string says;  // one or two sentences with the numbers
    std::vector<std::pair<std::string, double>> numbers;  // by names with their units
    std::string source;
};

// Handle torque. Friction of greased threads differs, so each force has a range of torques.
struct Torque {
    double friction_low = 0, friction = 0, friction_high = 0;  // of the thread
    double collar_friction = 0;
    double expected_mid_Nm = 0, expected_high_Nm = 0;  // for the middle and the high end of the expected force, mid friction
    std::optional<double> limit_Nm;                    // for the lowest limit of rig, screw and cell
    double set_Nm = 0;                                 // "set your wrench to …"
    double set_low_N = 0, set_high_N = 0;              // force at which it then clicks, rough and slippery thread
};

struct Plan {
    Answer answer = Answer::go_ahead;
    std::vector<Check> checks;         // all, the gravest first
    PartChoice parts;
    bool inventory_given = true;
    std::optional<Torque> torque;
    std::optional<double> limit_N;     // the lowest of rig, screw and cell
    std::string limit_is;
    std::vector<std::string> instead;  // what else, when the answer is not "go ahead"
    std::vector<std::string> steps;
    std::vector<std::string> can_judge, cannot_judge;  // filled by whoever knows the judge
    curve::Expectation expectation;
    curve::SeatFacts facts;
};

// Throws BadInput as facts_from does.
Plan make_plan(const JobFile& job, const RigFile* rig, const Inventory& inventory, std::uint64_t seed);

// "go ahead", "with care", "not this way"; where not everything could be checked, that too.
std::string answer_words(const Plan& plan);

// In the order of work for the pair, or for one bearing.
std::vector<std::string> order_of_work(const Plan& plan, const JobFile& job);

std::string plan_text(const Plan& plan);
std::string plan_json(const Plan& plan);

}  // namespace halfturn::plan
