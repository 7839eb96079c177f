// Pressing in ended without the kink that a ring makes when it meets its shoulder.
#include "watch/rule.hpp"

namespace halfturn {
namespace {

class NotHome : public Rule {
public:
    const RuleInfo& info() const override {
        static const RuleInfo info{"not-home", Call::look_closer, "Look before you put the press away.",
                                   {"is there a gap between ring and shoulder (feeler gauge)", "dirt or a burr in the seat"}};
        return info;
    }
    std::optional<std::string> on_end(const View& view) override {
        if (view.set_up.work != Work::in || view.progress.phase() == Phase::home || !view.progress.in_contact()) return {};
        if (!view.find(Measure::force) || !view.now.screw_known) return {};
        return "The job ended without the sharp rise in force that shows the ring on its shoulder.";
    }
};

}  // namespace

std::unique_ptr<Rule> make_not_home() { return std::make_unique<NotHome>(); }

}  // namespace halfturn
