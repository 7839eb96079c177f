// The ring came out, or went in, with less force than any fit of this class should need.
#include "review/finding.hpp"
#include "watch/rule.hpp"

namespace halfturn::review {
namespace {

class Loose : public Finding {
public:
    const FindingInfo& info() const override {
        static const FindingInfo info{
            "loose",
            "loose seat",
            {"the bore with a two- or three-point gauge, at two depths and two directions",
             "bright or brown bands where the ring has crept round",
             "is it the bearing and the class that was entered"}};
        return info;
    }
    Answer look(const Evidence& e) const override {
        const bool out = e.set_up.work == Work::out;
        const Band& band = e.set_up.break_loose_N;
        if (band.low <= 0)
            return cannot("the set-up expects anything from nothing upwards, so a low force says nothing");
        if (!e.trace.has_force) return cannot("there is no force reading");
        const double most_N = out ? e.release_bound_N : e.slide.first_N;
        if (out && !e.released && e.judgement.phase == Phase::slack) return cannot("no release was seen");
        if (most_N <= 0) return cannot("no release and no sliding were seen");
        // A ring that stopped on its way in has only that much to grip.
        const double least_N = out ? band.low : band.low * grip_share(e.set_up, e.home.way_mm);
        Answer answer;
        answer.times_threshold = least_N / most_N;
        if (out && !e.released) return answer;
        if (answer.times_threshold < 1) return answer;
        answer.seen = Seen::yes;
        answer.says = std::string(out ? "It broke loose at " : "It went in with ") + newtons(most_N) +
                      " at most; the loosest seat of this kind should need " + newtons(least_N) + ".";
        answer.place = Place{0, 0, most_N};
        return answer;
    }
};

}  // namespace

std::unique_ptr<Finding> make_loose() { return std::make_unique<Loose>(); }

}  // namespace halfturn::review
