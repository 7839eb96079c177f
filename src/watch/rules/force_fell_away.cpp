// The force vanished at once before a release was seen: the drift may have slipped off the ring.
#include "watch/rule.hpp"

namespace halfturn {
namespace {

class ForceFellAway : public Rule {
public:
    const RuleInfo& info() const override {
        static const RuleInfo info{"force-fell-away", Call::look_closer,
                                   "Pause. Back the screw off and look before you turn again.",
                                   {"has the drift slipped off the ring", "the ring's edge for bruises",
                                    "did the support or the spacer shift", "has the ring come out already"}};
        return info;
    }
    std::optional<std::string> on_sample(const View& view) override {
        if (!view.progress.fell_away()) return {};
        return "Force vanished at once from " + newtons(view.progress.fell_from_N()) + " without a break-loose being seen.";
    }
};

}  // namespace

std::unique_ptr<Rule> make_force_fell_away() { return std::make_unique<ForceFellAway>(); }

}  // namespace halfturn
