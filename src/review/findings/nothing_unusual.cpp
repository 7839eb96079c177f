// None of the other findings, and enough was seen to say so.
#include "review/finding.hpp"

namespace halfturn::review {
namespace {

class NothingUnusual : public Finding {
public:
    const FindingInfo& info() const override {
        static const FindingInfo info{"nothing-unusual",
                                      "nothing unusual",
                                      {"the bore with a gauge all the same, as after every pull"}};
        return info;
    }
    Answer look(const Evidence& e) const override {
        if (!e.profile.known) return cannot(e.profile.why_not);
        if (e.profile.shape == SeatShape::cant_tell) return cannot(e.profile.says);
        if (e.set_up.work == Work::out && !e.released) return cannot("no release was seen");
        Answer answer;
        answer.seen = Seen::yes;
        answer.times_threshold = 1.3;
        answer.says = "Release, sliding and the grip along the depth are as they should be.";
        return answer;
    }
};

}  // namespace

std::unique_ptr<Finding> make_nothing_unusual() { return std::make_unique<NothingUnusual>(); }

}  // namespace halfturn::review
