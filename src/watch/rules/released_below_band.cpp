// The ring broke loose with less force than the fit was expected to need, even allowing for what readings can miss.
#include "watch/rule.hpp"

namespace halfturn {
namespace {

class ReleasedBelowBand : public Rule {
public:
    const RuleInfo& info() const override {
        static const RuleInfo info{"released-below-band", Call::look_closer, "Go on gently.",
                                   {"the seat's bore with a gauge: it may be worn or too large",
                                    "bright bands where the ring has crept", "is it the bearing and the class you entered",
                                    "did the pull go through the load cell"}};
        return info;
    }
    std::optional<std::string> on_sample(const View& view) override {
        if (view.now.screw_known && !began_turns_) began_turns_ = view.now.turns;
        const auto& release = view.progress.break_loose();
        if (!release || view.set_up.break_loose_N.low <= 0 || release->force_N <= 0) return {};
        if (release->force_bound_N >= view.set_up.break_loose_N.low) return {};
        return "The ring broke loose at only " + newtons(release->force_N) + "; this fit was expected to need at least " +
               newtons(view.set_up.break_loose_N.low) + ".";
    }
    // A ring that came out without the force ever telling of contact was hardly held, or the load cell saw nothing of the pull.
    // Without a travel reading a loose ring's release can't be told from backing off, but its whole pull was too light.
    std::optional<std::string> on_end(const View& view) override {
        const double low = view.set_up.break_loose_N.low, peak = view.progress.peak_N();
        if (view.set_up.work != Work::out || view.progress.released() || low <= 0 || peak >= low || !view.find(Measure::force))
            return {};
        if (view.find(Measure::turns) || view.find(Measure::screw_travel)) {
            const bool never_loaded = !view.progress.first_contact_turns() && low > 2 * view.progress.contact_force_N();
            if (!never_loaded || !view.now.screw_known || !began_turns_) return {};
            const double turned = view.now.turns - *began_turns_;
            if (turned * view.set_up.pitch_mm <= view.set_up.seat_length_mm || view.set_up.seat_length_mm <= 0) return {};
            return "The screw went on by " + turns_words(turned) + "s and the force never went beyond " + newtons(peak) +
                   "; if the ring came out, it came too easily: at least " + newtons(low) + " was expected.";
        }
        if (peak < view.progress.contact_force_N()) return {};
        return "Force never went beyond " + newtons(peak) + "; if the ring came out, it came too easily: at least " +
               newtons(low) + " was expected.";
    }

private:
    std::optional<double> began_turns_;
};

}  // namespace

std::unique_ptr<Rule> make_released_below_band() { return std::make_unique<ReleasedBelowBand>(); }

}  // namespace halfturn
