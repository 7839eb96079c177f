// The force is gone although the ring can't be out yet: the drift may have slipped off it, or the seat holds only its mouth.
#include <algorithm>

#include "watch/rule.hpp"

namespace halfturn {
namespace {

// Until this share of the seat a normal ring still holds two fifths of its grip and more.
constexpr double early_share = 0.5;
// A hand that backs off turns the screw back by what the press was stretched; this much of it is told from an even slide.
constexpr double let_go_share = 0.5;
constexpr double least_unwound_turns = 0.01;

class GoneWhileSliding : public Rule {
public:
    const RuleInfo& info() const override {
        static const RuleInfo info{"gone-while-sliding", Call::look_closer,
                                   "Pause. Back the screw off and look before you turn again.",
                                   {"has the drift slipped off the ring", "is the ring still in its seat, and square",
                                    "the ring's edge for bruises", "is the bore wider behind its mouth"}};
        return info;
    }
    std::optional<std::string> on_sample(const View& view) override {
        const Progress& progress = view.progress;
        // After another warning the hand looks anyway, and the slide may have been misread.
        if (view.warned || progress.phase() != Phase::sliding || !view.now.force_known || !progress.slid_known()) return {};
        if (!progress.unloaded()) {
            if (view.now.force_fresh && view.now.force_N > progress.contact_force_N()) {
                held_N_ = view.now.force_N;
                slid_mm_ = progress.slid_mm();
            }
            return {};
        }
        const double seat_mm = view.set_up.seat_length_mm;
        if (!(seat_mm > 0) || slid_mm_ >= early_share * seat_mm || backed_off(view)) return {};
        return "The force is gone after " + millimetres(slid_mm_) + " of " + millimetres(seat_mm) + ": the ring can't be out yet.";
    }

private:
    bool backed_off(const View& view) const {
        const double N_per_turn = view.set_up.stiffness_N_per_mm.mid * view.set_up.pitch_mm;
        const double stretch_turns = N_per_turn > 0 ? held_N_ / N_per_turn : 0;
        return view.progress.turned_back() > std::max(least_unwound_turns, let_go_share * stretch_turns);
    }
    double held_N_ = 0, slid_mm_ = 0;  // at the last reading that still showed the ring held
};

}  // namespace

std::unique_ptr<Rule> make_gone_while_sliding() { return std::make_unique<GoneWhileSliding>(); }

}  // namespace halfturn
