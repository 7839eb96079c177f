// After the release the force climbs again beyond what the grip still left can explain.
#include "watch/rule.hpp"

namespace halfturn {
namespace {

constexpr double allowed_over_grip = 1.12;   // re-gripping after a pause reaches the break-loose level, not more
constexpr double grip_doubt = 0.2;           // share of the full grip by which a real seat may differ from the even one

double grip_left(const SetUp& set_up, double slid_mm) {
    if (set_up.grip_fall.empty()) return 1;
    double before_mm = 0, before = 1;
    for (const GripPoint& point : set_up.grip_fall) {
        if (slid_mm <= point.slid_mm) {
            const double span = point.slid_mm - before_mm;
            return span > 0 ? before + (point.fraction - before) * (slid_mm - before_mm) / span : point.fraction;
        }
        before_mm = point.slid_mm;
        before = point.fraction;
    }
    return before;
}

class ForceReturns : public Rule {
public:
    const RuleInfo& info() const override {
        static const RuleInfo info{"force-returns", Call::look_closer,
                                   "Pause and look. Go on only if nothing has tilted and nothing rubs.",
                                   {"scoring on the seat and the ring", "has the ring tilted", "chips between ring and seat",
                                    "does the drift or the plug touch the bore"}};
        return info;
    }
    std::optional<std::string> on_sample(const View& view) override {
        const auto& release = view.progress.break_loose();
        if (view.progress.phase() != Phase::sliding || !release || !view.now.force_fresh) return {};
        double share = 1;
        if (view.progress.slid_known()) {
            share = grip_left(view.set_up, view.progress.slid_mm()) + grip_doubt;
            if (share > 1) share = 1;
        }
        const Gate* force = view.find(Measure::force);
        const double slack_N = 6 * (force ? force->noise() : 0) + (release->force_bound_N - release->force_N) +
                               0.5 * view.progress.contact_force_N();
        if (!two_(view.now.force_N > allowed_over_grip * share * release->force_N + slack_N)) return {};
        return "The ring broke loose at " + newtons(release->force_N) + ", but the force has come back to " +
               newtons(view.now.force_N) + " while it slides.";
    }

private:
    TwoInARow two_;
};

}  // namespace

std::unique_ptr<Rule> make_force_returns() { return std::make_unique<ForceReturns>(); }

}  // namespace halfturn
