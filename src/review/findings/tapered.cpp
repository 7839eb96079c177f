// The grip grows or falls steadily from the mouth inwards.
#include "review/finding.hpp"

namespace halfturn::review {
namespace {

class Tapered : public Finding {
public:
    const FindingInfo& info() const override {
        static const FindingInfo info{"tapered",
                                      "tapered seat",
                                      {"the bore at the mouth, in the middle and at the inner end",
                                       "was it bored or reamed in a worn or soft set-up"}};
        return info;
    }
    Answer look(const Evidence& e) const override { return shape_answer(e, SeatShape::tapered, 0.3); }
};

}  // namespace

std::unique_ptr<Finding> make_tapered() { return std::make_unique<Tapered>(); }

}  // namespace halfturn::review
