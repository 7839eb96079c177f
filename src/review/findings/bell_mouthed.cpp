// Grip is missing at the mouth.
#include "review/finding.hpp"

namespace halfturn::review {
namespace {

class BellMouthed : public Finding {
public:
    const FindingInfo& info() const override {
        static const FindingInfo info{"bell-mouthed",
                                      "bell-mouthed seat",
                                      {"the bore 1 mm inside the mouth against the middle",
                                       "bearings that were started crooked, or a hand reamer, open a mouth"}};
        return info;
    }
    Answer look(const Evidence& e) const override { return shape_answer(e, SeatShape::bell_mouthed, 0.4); }
};

}  // namespace

std::unique_ptr<Finding> make_bell_mouthed() { return std::make_unique<BellMouthed>(); }

}  // namespace halfturn::review
