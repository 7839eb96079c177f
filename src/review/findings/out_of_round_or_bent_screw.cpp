// Force that rises and falls once per turn of the screw.
#include <algorithm>

#include "core/number_text.hpp"
#include "review/finding.hpp"
#include "watch/rule.hpp"

namespace halfturn::review {
namespace {

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
        const bool cell_known = std::any_of(
            e.set_up.channels.begin(), e.set_up.channels.end(),
            [](const ChannelSetUp& c) { return c.measures == Measure::force && c.eccentric_load_known; });
        Answer answer;
        constexpr double least_share = 0.04, least_over_u = 3.5, least_over_beside = 2.5;
        answer.times_threshold =
            std::min({ripple.share / least_share, ripple.share / (least_over_u * ripple.u_share + 1e-12),
                      ripple.share / (least_over_beside * ripple.beside + 1e-12)});
        if (answer.times_threshold < 1) return answer;
        const std::string seen = "The force swings by +- " + fixed_text(100 * ripple.share, 0) +
                                 " % (standard uncertainty " + fixed_text(100 * ripple.u_share, 1) +
                                 " %) once per turn over " + fixed_text(ripple.turns, 1) + " turns";
        if (e.set_up.access == Access::past_spacer && !cell_known)
            return cannot(seen +
                          ", but past a spacer the load sweeps round on the load cell, which no "
                          "eccentric-load calibration covers");
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
