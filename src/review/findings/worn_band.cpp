// Grip is missing in a band of the seat.
#include "review/finding.hpp"

namespace halfturn::review {
namespace {

class WornBand : public Finding {
public:
    const FindingInfo& info() const override {
        static const FindingInfo info{
            "worn-band",
            "worn band in the seat",
            {"a bright or brown ring round the bore at that depth", "the bore there against both ends"}};
        return info;
    }
    Answer look(const Evidence& e) const override { return shape_answer(e, SeatShape::worn_band, 0.35); }
};

}  // namespace

std::unique_ptr<Finding> make_worn_band() { return std::make_unique<WornBand>(); }

}  // namespace halfturn::review
