// Force rises while the screw travel read is less than the rig's stretch alone needs: the travel reading is not believed,
// because a caliper that slips on its mount would silence the half-turn rule. So would one that counts the wrong way.
#include <algorithm>

#include "watch/rule.hpp"

namespace halfturn {
namespace {

constexpr double stiffest_unknown_N_per_mm = 60'000;  // no hand press with a slender screw is stiffer; common practice, no published source
constexpr double doubt_in_stiffness = 1.25;
constexpr double believable_share = 0.5;
constexpr double least_stretch_mm = 0.06;
constexpr int fewest_readings = 4;
// No press winds up so far: turned back by this much it would be loose. Common practice, no published source.
constexpr double never_wound_turns = 0.6;

class TooLittleTravel : public Rule {
public:
    const RuleInfo& info() const override {
        static const RuleInfo info{"too-little-travel", Call::cant_tell,
                                   "Stop turning and hold. Look at the caliper before you go on.",
                                   {"has the caliper slipped on its mount", "is the turn reading connected to the screw",
                                    "is the stiffness in the rig file right for this drift",
                                    "does it count the wrong way: sign in the rig file"}};
        return info;
    }
    std::optional<std::string> on_sample(const View& view) override {
        const Progress& progress = view.progress;
        const bool loading = progress.phase() == Phase::loading;
        if (view.now.screw_fresh && counts_backwards(view))
            return "The screw reading went back by " + turns_words(progress.turned_back()) + "s while " + newtons(view.now.force_N) +
                   " stand on the press; turned back that far it would be loose.";
        if (!loading || !view.now.force_known || !view.now.screw_known) {
            anchored_ = false;
            return {};
        }
        if (!view.now.screw_fresh) return {};
        const double travel = travel_mm(view);
        if (!anchored_ || view.now.force_N < force_N_) {
            anchored_ = true;
            force_N_ = view.now.force_N;
            travel_mm_ = travel;
            readings_ = 0;
            return {};
        }
        ++readings_;
        const Band& k = view.set_up.stiffness_N_per_mm;
        const double stiffest = k.high > 0 ? k.high * doubt_in_stiffness : stiffest_unknown_N_per_mm;
        const double needed_mm = (view.now.force_N - force_N_) / stiffest;
        const Gate* gate = view.now.screw_mm_known ? view.find(Measure::screw_travel) : view.find(Measure::turns);
        const double least_count = gate ? gate->channel().least_count : 0;
        if (readings_ < fewest_readings || needed_mm < std::max(least_stretch_mm, 4 * least_count)) return {};
        const double seen_mm = travel - travel_mm_;
        if (seen_mm >= believable_share * needed_mm) {
            force_N_ = view.now.force_N;  // this stretch was honest; watch the next one
            travel_mm_ = travel;
            readings_ = 0;
            return {};
        }
        return "Force rose by " + newtons(view.now.force_N - force_N_) + " while the travel reading moved only " +
               millimetres(seen_mm) + "; the press alone must have stretched by " + millimetres(needed_mm) + ".";
    }

private:
    bool counts_backwards(const View& view) {
        const Phase phase = view.progress.phase();
        const bool held = (phase == Phase::loading || phase == Phase::sliding) && view.now.force_known && view.now.screw_known &&
                          view.now.force_N > view.progress.contact_force_N();
        return back_(held && view.progress.turned_back() > never_wound_turns);
    }
    static double travel_mm(const View& view) {
        return view.now.screw_mm_known ? view.now.screw_mm : view.now.turns * view.set_up.pitch_mm;
    }
    TwoInARow back_;
    bool anchored_ = false;
    double force_N_ = 0, travel_mm_ = 0;
    int readings_ = 0;
};

}  // namespace

std::unique_ptr<Rule> make_too_little_travel() { return std::make_unique<TooLittleTravel>(); }

}  // namespace halfturn
