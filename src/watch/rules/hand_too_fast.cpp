// Before the release the hand turned faster than these instruments can follow, so the curve may hide what happened.
#include <cmath>

#include "watch/rule.hpp"

namespace halfturn {
namespace {

constexpr double over = 1.3;  // the limit itself is only known to some tens of percent

class HandTooFast : public Rule {
public:
    const RuleInfo& info() const override {
        static const RuleInfo info{"hand-too-fast", Call::cant_tell,
                                   "Slower: one flat, pause, read. These instruments can't follow this speed.",
                                   {"pull the next one at the speed shown before the start"}};
        return info;
    }
    std::optional<std::string> on_sample(const View& view) override {
        const Phase phase = view.progress.phase();
        const double most = view.set_up.fastest_turns_per_s;
        if (most <= 0 || !view.now.screw_fresh || phase != Phase::loading) return {};
        if (!two_(view.progress.turns_per_s() > over * most)) return {};
        const auto hundredths = std::lround(view.progress.turns_per_s() * 100);
        const auto allowed = std::lround(most * 100);
        const auto two = [](long value) {
            return std::to_string(value / 100) + "." + (value % 100 < 10 ? "0" : "") + std::to_string(value % 100);
        };
        return "The hand turned at " + two(hundredths) + " turn/s before the release; these instruments follow up to " +
               two(allowed) + " turn/s.";
    }

private:
    TwoInARow two_;
};

}  // namespace

std::unique_ptr<Rule> make_hand_too_fast() { return std::make_unique<HandTooFast>(); }

}  // namespace halfturn
