// The ring broke loose with less force than the fit was expected to need, even allowing for what readings can miss.
#include "watch/rule.hpp"

namespace halfturn {
namespace {

class ReleasedBelowBand : public Rule {
public:
    const RuleInfo& info() const override {
        static const RuleInfo info{"released-below-band", Call::look_closer, "Go on gently.",
                                   {"the seat's bore with a gauge: it may be worn or too large",
                                    "bright bands where the ring has crept", "is it the bearing and the class you entered"}};
        return info;
    }
    std::optional<std::string> on_sample(const View& view) override {
        const auto& release = view.progress.break_loose();
        if (!release || view.set_up.break_loose_N.low <= 0 || release->force_N <= 0) return {};
        if (release->force_bound_N >= view.set_up.break_loose_N.low) return {};
        return "The ring broke loose at only " + newtons(release->force_N) + "; this fit was expected to need at least " +
               newtons(view.set_up.break_loose_N.low) + ".";
    }
    // Without a travel reading a loose ring's release can't be told from backing off, but its whole pull was too light.
    std::optional<std::string> on_end(const View& view) override {
        if (view.set_up.work != Work::out || view.progress.released() || view.find(Measure::turns) ||
            view.find(Measure::screw_travel))
            return {};
        const double peak = view.progress.peak_N();
        if (peak < view.progress.contact_force_N() || peak >= view.set_up.break_loose_N.low || view.set_up.break_loose_N.low <= 0)
            return {};
        return "Force never went beyond " + newtons(peak) + "; if the ring came out, it came too easily: at least " +
               newtons(view.set_up.break_loose_N.low) + " was expected.";
    }
};

}  // namespace

std::unique_ptr<Rule> make_released_below_band() { return std::make_unique<ReleasedBelowBand>(); }

}  // namespace halfturn
