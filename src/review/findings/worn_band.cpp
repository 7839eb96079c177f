// Grip is missing in a band of the seat.
#include <algorithm>

#include "core/number_text.hpp"
#include "review/finding.hpp"
#include "watch/rule.hpp"

namespace halfturn::review {
namespace {

class WornBand : public Finding {
public:
    const FindingInfo& info() const override {
        static const FindingInfo info{"worn-band", "worn band in the seat",
                                      {"a bright or brown ring round the bore at that depth",
                                        "the bore there against both ends"}};
        return info;
    }
    Answer look(const Evidence& e) const override {
        if (!e.profile.known) return cannot(e.profile.why_not);
        if (e.profile.shape == SeatShape::cant_tell) return cannot(e.profile.says);
        Answer answer;
        if (e.profile.shape != SeatShape::worn_band) return answer;
        if (std::string hidden = shape_hidden(e); !hidden.empty()) return cannot(hidden);
        constexpr double least = 0.35, least_over_u = 2.5;
        const double size = e.profile.size < 0 ? -e.profile.size : e.profile.size;
        answer.times_threshold = std::max(1.0, std::min(size / least, size / (least_over_u * e.profile.u_size + 1e-12)));
        answer.seen = Seen::yes;
        answer.says = e.profile.says;
        answer.place = place_of(e);
        return answer;
    }
};

}  // namespace

std::unique_ptr<Finding> make_worn_band() { return std::make_unique<WornBand>(); }

}  // namespace halfturn::review
