// The curve has softened (the ring pivots), yet the force climbs on for longer than a pivoting ring needs to break loose.
// Source of the length: elastic and finite-element runs of off-axis pulls put knee to release at 0.01 to 0.1 turn.
#include "watch/rule.hpp"

namespace halfturn {
namespace {

constexpr double longest_knee_turns = 0.16;
constexpr double climb_share = 1.25;

class SlowToRelease : public Rule {
public:
    const RuleInfo& info() const override {
        static const RuleInfo info{"slow-to-release", Call::look_closer,
                                   "Pause and look. If the ring stands crooked, back off and set the drift again.",
                                   {"does the ring stand crooked in the seat", "does the drift push on one side only",
                                    "the seat's edge opposite the drift for bruises"}};
        return info;
    }
    std::optional<std::string> on_sample(const View& view) override {
        const auto knee = view.progress.knee_force_N();
        if (view.set_up.work != Work::out || view.progress.phase() != Phase::loading || !knee || !view.now.screw_fresh) return {};
        if (view.progress.turns_since_knee() < longest_knee_turns || view.now.force_N < climb_share * *knee) return {};
        return "The curve softened at " + newtons(*knee) + " and the force has climbed to " + newtons(view.now.force_N) +
               " since, with no release: the ring may be tilting.";
    }
};

}  // namespace

std::unique_ptr<Rule> make_slow_to_release() { return std::make_unique<SlowToRelease>(); }

}  // namespace halfturn
