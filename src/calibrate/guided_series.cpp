#include "calibrate/guided_series.hpp"

#include <algorithm>
#include <cmath>

#include "calibrate/probability.hpp"
#include "core/failure.hpp"
#include "core/number_text.hpp"

namespace halfturn::calibrate {
namespace {

void need(bool sensible, const std::string& what) {
    if (!sensible) throw BadInput(what);
}

std::string newtons(double force_N) { return number_text(std::round(force_N)) + " N"; }

GuidedStep at_zero(std::string say) { return {std::move(say), 0, false, ""}; }

}  // namespace

std::vector<GuidedStep> force_steps(double capacity_N, int points, int series, bool down) {
    need(capacity_N > 0, "the capacity must be above zero");
    need(points >= 5 && points <= 50, "a force series needs 5 to 50 points");
    need(series >= 1 && series <= 10, "1 to 10 runs can be made");
    std::vector<GuidedStep> steps;
    for (int i = 1; i <= 3; ++i) {
        steps.push_back({"Preload " + std::to_string(i) + " of 3: turn slowly up to " + newtons(capacity_N) +
                             ", no further, and hold.",
                         capacity_N, false, ""});
        steps.push_back(at_zero("Back the screw off until the stack is loose."));
    }
    for (int run = 1; run <= series; ++run) {
        for (int i = 1; i <= points; ++i) {
            const double target = capacity_N * i / points;
            steps.push_back({"Run " + std::to_string(run) + ": turn up to about " + newtons(target) +
                                 " and hold. Don't turn back if you went a little past it.",
                             target, true, "up"});
        }
        if (down && run == series)
            for (int i = points - 1; i >= 1; --i) {
                const double target = capacity_N * i / points;
                steps.push_back({"On the way down: back off to about " + newtons(target) + " and hold.",
                                 target, true, "down"});
            }
        steps.push_back(at_zero(run < series
                                    ? "Back the screw off until the stack is loose; turn the cell a third "
                                      "round if you can. Then wait half a minute."
                                    : "Back the screw off until the stack is loose. That was the last run."));
    }
    return steps;
}

std::vector<GuidedStep> stiffness_steps(double highest_N, int points) {
    need(highest_N > 0, "the highest force must be above zero");
    need(points >= 5 && points <= 50, "a blocked pull needs 5 to 50 points");
    std::vector<GuidedStep> steps{{"Block the pull, so that nothing can move. Preload: turn slowly up to " +
                                       newtons(highest_N) + ", no further, and hold.",
                                   highest_N, false, ""},
                                  at_zero("Back the screw off until the stack is loose.")};
    for (int i = 1; i <= points; ++i)
        steps.push_back({"Turn up to about " + newtons(highest_N * i / points) + " and hold.",
                         highest_N * i / points, true, "up"});
    for (int i = points - 1; i >= 1; --i)
        steps.push_back({"Back off to about " + newtons(highest_N * i / points) + " and hold.",
                         highest_N * i / points, true, "down"});
    steps.push_back(at_zero("Back the screw off until the stack is loose. That was the last step."));
    return steps;
}

std::vector<GuidedStep> pitch_steps(double turns, int points) {
    need(turns >= 2 && turns <= 200, "2 to 200 turns can be measured");
    need(points >= 5 && points <= 200, "a pitch needs 5 to 200 points");
    std::vector<GuidedStep> steps{
        at_zero("Unload the screw. Turn a quarter turn forward, so that its play is taken up.")};
    for (int i = 0; i < points; ++i) {
        const double target = turns * i / (points - 1);
        steps.push_back(
            {i == 0 ? "Hold still here: this is the beginning."
                    : "Turn forward to about " + figures_text(target, 3) + " turns, never back, and hold.",
             target, true, ""});
    }
    return steps;
}

std::vector<GuidedStep> travel_steps(const std::vector<double>& blocks_mm) {
    need(!blocks_mm.empty(), "name the lengths of the blocks");
    std::vector<GuidedStep> steps;
    for (int round = 1; round <= 3; ++round)
        for (const double block : blocks_mm) {
            need(block >= 0 && block <= 1000, "blocks from 0 (jaws closed) to 1000 mm can be measured");
            steps.push_back({block == 0 ? std::string("Close the jaws gently and hold.")
                                        : "Measure the block of " + number_text(block) + " mm and hold.",
                             block, true, ""});
        }
    return steps;
}

std::vector<GuidedStep> daily_steps(double block_mm, double highest_N) {
    need(block_mm >= 0 && block_mm <= 1000, "a block is at most 1000 mm long");
    need(highest_N > 0, "the force of the small pull must be above zero");
    constexpr int points = 6;
    std::vector<GuidedStep> steps{{"Back the screw off until the stack is loose. Touch nothing.", 0, true, "zero"}};
    if (block_mm > 0) steps.push_back({"Measure the block of " + number_text(block_mm) + " mm and hold.", block_mm, true, "block"});
    for (int i = 1; i <= points; ++i)
        steps.push_back({(i == 1 ? "Block the pull, so that nothing can move. Turn up to about " : "Turn up to about ") +
                             newtons(highest_N * i / points) + " and hold.",
                         highest_N * i / points, true, "pull"});
    steps.push_back(at_zero("Back the screw off until the stack is loose. That was the last step."));
    return steps;
}

std::vector<GuidedStep> stray_steps(Stray stray, double force_N, double amount, int angles, int rounds) {
    const StrayWords& words = stray_words(stray);
    need(force_N > 0, "the force of the test must be above zero");
    need(amount > 0, "the stray load must be above zero, in " + std::string(words.unit));
    need(!words.angle || (angles >= 3 && angles <= 24), "3 to 24 places go round");
    need(rounds >= 1 && rounds <= 10, "1 to 10 rounds can be made");
    const bool beside = stray == Stray::eccentric;
    const std::string with = number_text(amount) + " " + std::string(words.unit), none = words.angle ? "0,0" : "0";
    const std::string turn_up = "turn up to about " + newtons(force_N) + " and hold.";
    std::vector<GuidedStep> steps{
        {"Preload, load on the axis: turn slowly up to " + newtons(force_N) + ", no further, and hold.", force_N, false, ""},
        at_zero("Back the screw off until the stack is loose."),
        {"Undisturbed, load on the axis: " + turn_up, force_N, true, none},
        {"Undisturbed, once more: hold.", force_N, true, none}};
    const auto disturb = [&](const std::string& where, std::string cells) {
        if (beside)
            steps.push_back(
                at_zero("Back the screw off until the stack is loose. Shift the load " + with + " off the axis, " + where + "."));
        const std::string say = beside                      ? "Load " + with + " off the axis, " + where + ": " + turn_up
                                : stray == Stray::side_load ? "Keep about " + newtons(force_N) + ". Push with " + with +
                                                                  " from the side, " + where + ", and hold."
                                                            : "Keep about " + newtons(force_N) + ". Twist the screw's end with " +
                                                                  with + " " + where + ", without turning it on, and hold.";
        steps.push_back({say, force_N, true, std::move(cells)});
    };
    for (int round = 1; round <= rounds; ++round) {
        if (words.angle)
            for (int i = 0; i < angles; ++i) {
                const std::string deg = number_text(360.0 * i / angles);
                disturb("at " + deg + " degrees as marked on the cell", number_text(amount) + "," + deg);
            }
        else
            for (const bool on : {true, false}) disturb(on ? "the way it tightens" : "the other way", number_text(on ? amount : -amount));
        if (beside) steps.push_back(at_zero("Back the screw off until the stack is loose. Put the load on the axis again."));
        steps.push_back(
            {"Undisturbed, " + std::string(beside ? "load on the axis: " : "nothing from the side, no twist: ") + turn_up,
             force_N, true, none});
    }
    steps.push_back(at_zero("Back the screw off until the stack is loose. That was the last step."));
    return steps;
}

std::vector<GuidedStep> lag_steps(double highest_N, int jerks) {
    need(highest_N > 0, "the highest force must be above zero");
    need(jerks >= 1 && jerks <= 50, "1 to 50 quick steps can be made");
    std::vector<GuidedStep> steps{
        {"Block the pull, so that nothing can move. Turn up to about " + newtons(highest_N / 2) + " and hold.", highest_N / 2,
         false, ""}};
    for (int i = 0; i < jerks; ++i) {
        const bool up = i % 2 == 0;
        const double target = up ? highest_N : highest_N / 2;
        steps.push_back({"Hold still, spanner in hand. When I say now: one quick turn " +
                             std::string(up ? "on, up" : "back, down") + " to about " + newtons(target) +
                             ", no further, and hold still again.",
                         target, true, up ? "up" : "down"});
    }
    steps.push_back(at_zero("Back the screw off until the stack is loose. That was the last step."));
    return steps;
}

void SettlingWatch::add(double t_s, double value) {
    readings_.push_back({t_s, value});
    // One reading older than the window stays, to show that the window is full.
    while (readings_.size() > 2 && readings_[1].t_s <= t_s - window_s_) readings_.pop_front();
}

SettlingWatch::State SettlingWatch::state() const {
    State state;
    if (readings_.empty()) return state;
    std::vector<double> values;
    for (const auto& reading : readings_) values.push_back(reading.value);
    const MeanAndSd all = mean_and_sd(values);
    state.count = static_cast<int>(values.size());
    state.mean = all.mean;
    state.sd = all.sd;
    const bool full = readings_.back().t_s - readings_.front().t_s >= window_s_ * (1 - 1e-9);
    constexpr int fewest = 4;
    if (!full || state.count < fewest) return state;
    const auto half = static_cast<std::ptrdiff_t>(values.size() / 2);
    const MeanAndSd early = mean_and_sd({values.begin(), values.begin() + half});
    const MeanAndSd late = mean_and_sd({values.begin() + half, values.end()});
    state.drift = late.mean - early.mean;
    const double n = static_cast<double>(values.size()) / 2;
    const double noise = 3 * std::hypot(early.sd, late.sd) / std::sqrt(n);
    // Noise explains no more than a hundredth of the value, lest a steep ramp count as noise of its halves.
    const double allowed = std::max(
        {least_count_, 0.0005 * std::fabs(state.mean), std::min(noise, 0.01 * std::fabs(state.mean))});
    state.steady = std::fabs(state.drift) <= allowed;
    return state;
}

}  // namespace halfturn::calibrate
