// Pressing in: the ring is home on its shoulder and the screw is driven on.
#include <algorithm>

#include "watch/rule.hpp"

namespace halfturn {
namespace {

constexpr double allowed_turns = 0.14;       // a firm seating and the time a person needs to stop
constexpr double allowed_over_home = 1.0;    // times the upper edge of the driving band …
constexpr double never_over_home = 2.0;      // … and what no firm seating needs, however short the way

class DrivenOn : public Rule {
public:
    const RuleInfo& info() const override {
        static const RuleInfo info{"driven-on", Call::stop_and_inspect, "Stop turning. The ring is home; back the screw off.",
                                   {"does the bearing turn freely", "dents in the raceway if the load crossed the balls",
                                    "the shoulder and the housing for cracks"}};
        return info;
    }
    std::optional<std::string> on_sample(const View& view) override {
        const auto home = view.progress.home_force_N();
        if (view.progress.phase() != Phase::home || !home) return {};
        const double past = view.progress.turns_from_contact() + view.progress.contact_turns() - view.progress.home_turns();
        const double seating_N = std::max(view.set_up.break_loose_N.high, *home);
        const bool far = view.now.force_N > *home + allowed_over_home * seating_N && past > allowed_turns;
        if (!two_(far || view.now.force_N > *home + never_over_home * seating_N)) return {};
        return "The ring was home at " + newtons(*home) + "; the screw was driven on to " + newtons(view.now.force_N) + ".";
    }

private:
    TwoInARow two_;
};

}  // namespace

std::unique_ptr<Rule> make_driven_on() { return std::make_unique<DrivenOn>(); }

}  // namespace halfturn
