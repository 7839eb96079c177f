// Pressed home, and then driven on.
#include <algorithm>

#include "review/finding.hpp"
#include "watch/rule.hpp"

namespace halfturn::review {
namespace {

class OverDriven : public Finding {
public:
    const FindingInfo& info() const override {
        static const FindingInfo info{"over-driven",
                                      "over-driven",
                                      {"does the bearing turn freely, without notches",
                                       "the shoulder and the wall behind it for cracks",
                                       "dents in the races, if the drift pushed on the inner ring"}};
        return info;
    }
    Answer look(const Evidence& e) const override {
        if (e.set_up.work != Work::in) return {};
        if (!e.trace.has_force) return cannot("there is no force reading");
        if (!e.home.seen) return {};
        constexpr double firm_seating =
            2.2;  // times what driving takes: a hand that feels the shoulder stops below
        const double seating_N = std::max(e.set_up.break_loose_N.high, e.home.driving_N);
        Answer answer;
        answer.times_threshold = (e.home.end_N - e.home.driving_N) / (firm_seating * seating_N);
        if (answer.times_threshold < 1) return answer;
        answer.seen = Seen::yes;
        answer.says = "It was home at " + newtons(e.home.driving_N) + " and was then driven to " +
                      newtons(e.home.end_N) + ".";
        answer.place = Place{e.home.way_mm, e.home.way_mm, e.home.end_N};
        return answer;
    }
};

}  // namespace

std::unique_ptr<Finding> make_over_driven() { return std::make_unique<OverDriven>(); }

}  // namespace halfturn::review
