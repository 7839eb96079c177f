// High release, then normal sliding: something held that let go once.
#include <algorithm>

#include "core/number_text.hpp"
#include "review/finding.hpp"
#include "watch/rule.hpp"

namespace halfturn::review {
namespace {

class BondedOrCorroded : public Finding {
public:
    const FindingInfo& info() const override {
        static const FindingInfo info{"bonded-or-corroded",
                                      "bonded or corroded seat",
                                      {"remains of adhesive on ring and bore",
                                       "rust, or white powder of corroded aluminium, in the bore",
                                       "the hub for cracks: it was pulled harder than the fit needs"}};
        return info;
    }
    Answer look(const Evidence& e) const override {
        if (e.set_up.work != Work::out) return {};
        if (!e.trace.has_force) return cannot("there is no force reading");
        if (e.release_N <= 0) return {};
        const Band &release = e.set_up.break_loose_N, &sliding = e.set_up.sliding_N;
        if (release.high <= 0) return cannot("the set-up expects no force");
        Answer answer;
        if (!e.released) {
            // Held to the end. A ring that tilts holds too, but gives way first.
            answer.times_threshold = cocked_times(e) >= 1 ? 0 : e.release_N / (1.15 * release.high);
            if (answer.times_threshold < 1) return answer;
            answer.seen = Seen::yes;
            answer.times_threshold = std::min(answer.times_threshold, 1.29);  // nobody saw it slide
            answer.says = "It held " + newtons(e.release_N) + " without coming loose; at most " +
                          newtons(release.high) +
                          " was expected. Whether it then slides as it should is not known.";
            answer.place = Place{0, 0, e.release_N};
            return answer;
        }
        if (e.release_over_slide <= 0) return cannot("how it slid after the release was not seen");
        constexpr double normal_ratio = 1.5,
                         clear_ratio = 2.0;  // break-loose over sliding goes to 1.5 on clean seats
        const double ratio = e.release_over_slide / clear_ratio;
        const double high = std::min(e.release_N / release.high, e.release_over_slide / normal_ratio);
        const double slides =
            sliding.high > 0 && e.slide.first_N > 0 ? 1.15 * sliding.high / e.slide.first_N : 1;
        answer.times_threshold = cocked_times(e) >= 1 ? 0
                                                      : std::min(std::max(ratio, high),
                                                                 std::max(slides, ratio >= 1.5 ? 1.0 : 0.0));
        if (answer.times_threshold < 1) return answer;
        answer.seen = Seen::yes;
        answer.says = "It held until " + newtons(e.release_N) + " and then slid at " +
                      newtons(e.slide.first_N) + ", " + fixed_text(e.release_over_slide, 1) +
                      " times less; clean seats show 1.1 to 1.5 times.";
        answer.place = Place{0, e.slide.unseen_mm, e.release_N};
        return answer;
    }
};

}  // namespace

std::unique_ptr<Finding> make_bonded_or_corroded() { return std::make_unique<BondedOrCorroded>(); }

}  // namespace halfturn::review
