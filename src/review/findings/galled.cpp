// Saw-tooth force along the way and more work than the seat should take: metal is torn.
#include "core/number_text.hpp"
#include "review/finding.hpp"
#include "watch/rule.hpp"

namespace halfturn::review {
namespace {

class Galled : public Finding {
public:
    const FindingInfo& info() const override {
        static const FindingInfo info{
            "galled",
            "galled seat",
            {"scores along the bore, and metal picked up on the ring",
             "chips on the drift and in the bore: clean them out before the next bearing",
             "the bore size beside the scores"}};
        return info;
    }
    Answer look(const Evidence& e) const override {
        if (e.slide.stretches.empty()) return cannot(e.slide.why_not);
        Answer answer;
        answer.times_threshold = galled_times(e);
        if (answer.times_threshold < 1) return answer;
        answer.seen = Seen::yes;
        answer.says = std::to_string(e.teeth.count) + " teeth of " + newtons(e.teeth.height_N) + ", about " +
                      millimetres(e.teeth.spacing_mm) + " apart, and " +
                      fixed_text(100 * (e.slide.over_fall - 1), 0) + " % more work than an even seat takes.";
        answer.place = Place{e.teeth.from_mm, e.teeth.to_mm, e.climbs_to_N};
        return answer;
    }
};

}  // namespace

std::unique_ptr<Finding> make_galled() { return std::make_unique<Galled>(); }

}  // namespace halfturn::review
