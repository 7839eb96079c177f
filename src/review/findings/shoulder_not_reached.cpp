// Pressing in ended before the ring stood on its shoulder.
#include <algorithm>

#include "review/finding.hpp"
#include "watch/rule.hpp"

namespace halfturn::review {
namespace {

class ShoulderNotReached : public Finding {
public:
    const FindingInfo& info() const override {
        static const FindingInfo info{
            "shoulder-not-reached",
            "shoulder not reached",
            {"a feeler gauge between ring and shoulder, all round",
             "the depth from the face to the ring in three places", "dirt or a burr before the shoulder"}};
        return info;
    }
    Answer look(const Evidence& e) const override {
        if (e.set_up.work != Work::in) return {};
        if (!e.trace.has_force || !e.trace.has_turns)
            return cannot("it takes force and turns to see a ring come home");
        if (e.trace.points.empty()) return cannot("the press never took load");
        Answer answer;
        const double seat_mm = e.set_up.seat_length_mm, left_mm = seat_mm - e.home.way_mm;
        // A chamfer hides where contact began; a tenth of the seat and half a millimetre cover it.
        const double allowed_mm = std::max(0.5, 0.1 * seat_mm);
        if (e.home.seen) {
            answer.times_threshold = left_mm / allowed_mm / 1.25;
            if (answer.times_threshold < 1) return answer;
            answer.says =
                "The force rose sharply after only " + millimetres(e.home.way_mm) + " of " +
                millimetres(seat_mm) +
                ": something stopped the ring before the shoulder, or it was partly in at the start.";
        } else {
            // The judge may have taken a ridge on the way for the shoulder; the way says.
            answer.times_threshold = e.judgement.phase == Phase::home && left_mm < allowed_mm
                                         ? 0
                                         : 1 + std::max(0.0, left_mm / allowed_mm);
            if (answer.times_threshold < 1) return answer;
            answer.says = "The job ended after " + millimetres(e.home.way_mm) + " of " +
                          millimetres(seat_mm) + " at " + newtons(e.home.end_N) +
                          ", without the sharp rise of a ring on its shoulder.";
        }
        answer.seen = Seen::yes;
        answer.place = Place{e.home.way_mm, e.home.way_mm, e.home.end_N};
        return answer;
    }
};

}  // namespace

std::unique_ptr<Finding> make_shoulder_not_reached() { return std::make_unique<ShoulderNotReached>(); }

}  // namespace halfturn::review
