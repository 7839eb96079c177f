// Force that rises and falls once per turn of the screw.
#include <algorithm>

#include "core/number_text.hpp"
#include "review/finding.hpp"
#include "watch/rule.hpp"

namespace halfturn::review {
namespace {

// How far the load cell may swing by itself at the drift's reach, as a share of the force: the seat makes the rest at least, as
// amplitudes of two ripples add up to no more than their sum.
double cells_own(const SetUp& set_up) {
    const ChannelSetUp* cell = find_channel(set_up, Measure::force);
    return cell ? cell->eccentric_percent_per_mm / 100 * set_up.drift_reach_mm : 0;
}

// Past a spacer the load sweeps round on the load cell. Why the ripple may be the cell's own; empty: the seat's or the screw's.
std::string not_the_seat(const SetUp& set_up, double share, double least_share) {
    const ChannelSetUp* cell = find_channel(set_up, Measure::force);
    const std::string sweeps = ", but past a spacer the load sweeps round on the load cell, ";
    if (!cell || !cell->eccentric_load_known) return sweeps + "which no eccentric-load calibration covers";
    if (!(cell->eccentric_to_mm > 0)) return {};  // the rig file says that it is small
    if (!(set_up.drift_reach_mm > 0)) return sweeps + "and how far beside its axis is not known: give the drift's reach_mm in the job";
    if (set_up.drift_reach_mm > cell->eccentric_to_mm)
        return sweeps + fixed_text(set_up.drift_reach_mm, 1) + " mm beside its axis, and its eccentric-load calibration goes only to " +
               fixed_text(cell->eccentric_to_mm, 1) + " mm";
    if (share - cells_own(set_up) >= least_share) return {};
    return sweeps + "which by its calibration can swing by ± " + fixed_text(100 * cells_own(set_up), 1) +
           " % by itself: too little is left to tell";
}

class OutOfRoundOrBentScrew : public Finding {
public:
    const FindingInfo& info() const override {
        static const FindingInfo info{
            "out-of-round-or-bent-screw",
            "seat out of round, or a bent screw",
            {"the bore with a two-point gauge in at least three directions: out of round shows there",
             "roll the screw on a flat, or turn it between centres: a bend shows as runout",
             "pull again with drift and screw turned half a turn to each other: what turns with the screw is "
             "the screw, what stays is the seat"}};
        return info;
    }
    Answer look(const Evidence& e) const override {
        const Ripple& ripple = e.profile.ripple;
        if (!e.profile.known) return cannot(e.profile.why_not);
        if (!ripple.known)
            return cannot("the ring slid over too few turns to tell a once-per-turn ripple from its fall");
        Answer answer;
        constexpr double least_share = 0.04, least_over_u = 3.5, least_over_beside = 2.5;
        answer.times_threshold =
            std::min({ripple.share / least_share, ripple.share / (least_over_u * ripple.u_share + 1e-12),
                      ripple.share / (least_over_beside * ripple.beside + 1e-12)});
        if (answer.times_threshold < 1) return answer;
        const std::string seen = "The force swings by ± " + fixed_text(100 * ripple.share, 0) +
                                 " % (standard uncertainty " + fixed_text(100 * ripple.u_share, 1) +
                                 " %) once per turn over " + fixed_text(ripple.turns, 1) + " turns";
        if (e.set_up.access == Access::past_spacer) {
            if (const std::string why = not_the_seat(e.set_up, ripple.share, least_share); !why.empty()) return cannot(seen + why);
            answer.times_threshold = std::min(answer.times_threshold, (ripple.share - cells_own(e.set_up)) / least_share);
        }
        answer.seen = Seen::yes;
        answer.says = seen + ", highest " + turns_words(ripple.most_at_turn) +
                      " after contact. Either the seat is out of round or the screw is bent; the curve can't "
                      "say which.";
        answer.place = Place{e.slide.unseen_mm, e.slide.way_mm, e.slide.first_N};
        return answer;
    }
};

}  // namespace

std::unique_ptr<Finding> make_out_of_round_or_bent_screw() {
    return std::make_unique<OutOfRoundOrBentScrew>();
}

}  // namespace halfturn::review
