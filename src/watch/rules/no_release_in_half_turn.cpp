// Half a turn from contact with no break-loose. A late turn reading makes the alarm late, so its lag is subtracted.
#include "watch/rule.hpp"

namespace halfturn {
namespace {

// A stuck ring would let the force grow with the turns by the press's stiffness; this little of that, and it slides already.
constexpr double sliding_share = 0.05;
constexpr double turning_turns_per_s = 0.05;
constexpr Instant longest_wait = nanoseconds_per_second;

class NoReleaseInHalfTurn : public Rule {
public:
    const RuleInfo& info() const override {
        static const RuleInfo info{"no-release-in-half-turn", Call::stop_and_inspect,
                                   "Stop turning. Hold, back the screw off, wait for unloaded; only then take apart.",
                                   {"is the drift on the ring, all the way round and square",
                                    "has the spacer been pushed aside far enough", "adhesive or corrosion in the seat",
                                    "does the held end turn with the screw"}};
        return info;
    }
    std::optional<std::string> on_sample(const View& view) override {
        const Progress& progress = view.progress;
        if (view.set_up.work != Work::out || progress.phase() != Phase::loading || !view.now.screw_fresh) return {};
        if (progress.drop_pending()) return {};
        // Faster than these instruments can follow, a release may have passed unseen; that is said by its own rule, and this
        // one waits until the hand slows down, unless the force has already left the band.
        const double fastest = view.set_up.fastest_turns_per_s;
        const double high = view.set_up.break_loose_N.high;
        if (view.now.force_known && fastest > 0 && progress.turns_per_s() > fastest && high > 0 && view.now.force_N < high) return {};
        const Gate* screw = view.find(Measure::turns);
        if (!screw) screw = view.find(Measure::screw_travel);
        const double gap_s = screw ? seconds(screw->usual_gap()) : 0;
        const double lag_s = screw ? view.set_up.ports[screw->port()].lag_s : 0;
        const double speed = progress.turns_per_s() > 0 ? progress.turns_per_s() : 0;
        double hidden = speed * (gap_s + lag_s);
        if (hidden > 0.1) hidden = 0.1;
        if (progress.turns_from_contact() + hidden < view.set_up.half_turn) {
            waits_from_.reset();
            return {};
        }
        if (slides_already(view)) return {};
        return "Half a turn since contact and the ring has not broken loose" +
               (view.now.force_known ? "; force stands at " + newtons(view.now.force_N) + "." : std::string("."));
    }

private:
    // A loose ring breaks loose without a drop to see, and a late turn reading takes a while to show that the screw went on
    // meanwhile. Only below all that was expected, only while the screw turns, and not for long.
    bool slides_already(const View& view) {
        const Band& k = view.set_up.stiffness_N_per_mm;
        if (!view.now.force_known || view.now.force_N >= view.set_up.break_loose_N.low || k.low <= 0) return false;
        const double turns_per_s = view.progress.turns_per_s();
        if (turns_per_s < turning_turns_per_s ||
            view.progress.force_per_s() > sliding_share * k.low * view.set_up.pitch_mm * turns_per_s)
            return false;
        if (!waits_from_) waits_from_ = view.now.at;
        return view.now.at - *waits_from_ < longest_wait;
    }
    std::optional<Instant> waits_from_;
};

}  // namespace

std::unique_ptr<Rule> make_no_release_in_half_turn() { return std::make_unique<NoReleaseInHalfTurn>(); }

}  // namespace halfturn
