// Force above the expected break-loose band: out, with or without a release so far; in, before the ring is home.
#include "watch/rule.hpp"

namespace halfturn {
namespace {

constexpr double shoulder_near_share = 0.85;

class PastBreakLooseBand : public Rule {
public:
    const RuleInfo& info() const override {
        static const RuleInfo info{"past-break-loose-band", Call::stop_and_inspect,
                                   "Stop turning. Hold, back the screw off, wait for unloaded; only then take apart.",
                                   {"is the drift on the ring, all the way round and square",
                                    "adhesive or corrosion in the seat", "a retaining ring or screw still in place",
                                    "does the support lean on the bearing or only on the housing"}};
        return info;
    }
    std::optional<std::string> on_sample(const View& view) override {
        const double high = view.set_up.break_loose_N.high;
        const Phase phase = view.progress.phase();
        const bool counts = phase == Phase::loading || phase == Phase::sliding || phase == Phase::entering || phase == Phase::driving;
        if (high <= 0 || !counts || !view.now.force_fresh) return {};
        // Near the seat's end a ring that goes in meets its shoulder, and the rise is the sign of that.
        if (view.set_up.work == Work::in && view.now.screw_known && view.set_up.seat_length_mm > 0 &&
            view.progress.turns_from_contact() * view.set_up.pitch_mm > shoulder_near_share * view.set_up.seat_length_mm)
            return {};
        const bool above = two_(view.now.force_N > high);
        // One reading above the band is kept waiting, but never hidden: a release from up there says it was real.
        const auto& release = view.progress.break_loose();
        if (!above && !(release && release->force_N > high)) return {};
        const double force = view.now.force_N > high ? view.now.force_N : view.progress.peak_N();
        const std::string what = view.set_up.work == Work::in    ? " while driving in"
                                 : view.progress.released()      ? ""
                                                                 : " and the ring has not broken loose";
        return "Force reached " + newtons(force) + what + "; this fit was expected to need at most " + newtons(high) + ".";
    }

private:
    TwoInARow two_;
};

}  // namespace

std::unique_ptr<Rule> make_past_break_loose_band() { return std::make_unique<PastBreakLooseBand>(); }

}  // namespace halfturn
