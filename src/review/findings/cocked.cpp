// The ring tilted: it gave way early, then needed far more to come, or the force climbed again on its way.
#include "review/finding.hpp"
#include "watch/rule.hpp"

namespace halfturn::review {
namespace {

class Cocked : public Finding {
public:
    const FindingInfo& info() const override {
        static const FindingInfo info{"cocked",
                                      "cocked ring",
                                      {"two opposite bright bruises at the edges of the bore",
                                       "the bore for a raised edge and for ovality, at both ends",
                                       "the screw for bend, drift and support for square"}};
        return info;
    }
    Answer look(const Evidence& e) const override {
        if (e.set_up.work != Work::out) return {};
        if (!e.trace.has_force) return cannot("there is no force reading");
        if (!e.trace.has_turns)
            return cannot(
                "nothing measured the screw's way, so a ring that gives way before it comes can't be seen");
        Answer answer;
        answer.times_threshold = cocked_times(e);
        if (answer.times_threshold < 1) return answer;
        answer.seen = Seen::yes;
        if (e.wind_up.knee_seen && e.release_N > 2 * e.wind_up.knee_N)
            answer.says = "It gave way from " + newtons(e.wind_up.knee_N) +
                          " on, and the force still climbed to " + newtons(e.release_N) +
                          (e.released ? " before it came" : " without its coming") + "; the wind-up is " +
                          millimetres(e.wind_up.more_than_stretch_mm) +
                          " longer than the press stretches for that force.";
        else if (e.climbs_to_N > e.release_N)
            answer.says = "It broke loose at " + newtons(e.release_N) + ", but " +
                          millimetres(e.climbs_at_mm) + " on the force had climbed to " +
                          newtons(e.climbs_to_N) + ", smoothly, without teeth.";
        else
            answer.says = "The wind-up to " + newtons(e.release_N) + " was " +
                          millimetres(e.wind_up.more_than_stretch_mm) +
                          " longer than the press stretches for that force.";
        answer.place = e.climbs_to_N > e.release_N ? Place{e.climbs_at_mm, e.climbs_at_mm, e.climbs_to_N}
                                                   : Place{0, 0, e.release_N};
        return answer;
    }
};

}  // namespace

std::unique_ptr<Finding> make_cocked() { return std::make_unique<Cocked>(); }

}  // namespace halfturn::review
