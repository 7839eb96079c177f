// The turn counter and the screw travel tell different stories: the held end creeps, or one of them slips.
#include <cmath>

#include "watch/rule.hpp"

namespace halfturn {
namespace {

constexpr double allowed_mm = 0.15;       // backlash, least counts and a late reading
constexpr double allowed_share = 0.06;

class CounterDisagrees : public Rule {
public:
    const RuleInfo& info() const override {
        static const RuleInfo info{"counter-disagrees", Call::cant_tell,
                                   "Stop turning and hold. See which end moves before you go on.",
                                   {"does the held end turn with the screw", "has the caliper slipped on its mount",
                                    "has the counter lost steps", "is the pitch in the rig file right"}};
        return info;
    }
    std::optional<std::string> on_sample(const View& view) override {
        if (!view.find(Measure::turns) || !view.now.screw_mm_fresh || !view.now.screw_known || view.set_up.pitch_mm <= 0) return {};
        const double counted_mm = view.now.turns * view.set_up.pitch_mm;
        const double late_mm = std::fabs(view.progress.turns_per_s()) * view.set_up.pitch_mm * late_s(view);
        const double off = std::fabs(counted_mm - view.now.screw_mm);
        if (!two_(off > allowed_mm + allowed_share * std::fabs(counted_mm) + late_mm)) return {};
        return "The counter says the screw advanced " + millimetres(counted_mm) + ", the travel reading says " +
               millimetres(view.now.screw_mm) + ".";
    }

private:
    static double late_s(const View& view) {
        double late = 0;
        for (const Gate& gate : view.gates)
            if (gate.measures() == Measure::turns || gate.measures() == Measure::screw_travel)
                late += seconds(gate.usual_gap()) + view.set_up.ports[gate.port()].lag_s;
        return late;
    }
    TwoInARow two_;
};

}  // namespace

std::unique_ptr<Rule> make_counter_disagrees() { return std::make_unique<CounterDisagrees>(); }

}  // namespace halfturn
