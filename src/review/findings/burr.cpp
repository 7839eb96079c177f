// A narrow band of the seat grips far more than the rest.
#include "review/finding.hpp"

namespace halfturn::review {
namespace {

class Burr : public Finding {
public:
    const FindingInfo& info() const override {
        static const FindingInfo info{
            "burr",
            "burr or high band in the seat",
            {"a fingertip, then a scraper, at that depth", "dirt or old adhesive baked on there"}};
        return info;
    }
    Answer look(const Evidence& e) const override { return shape_answer(e, SeatShape::burr, 0.6); }
};

}  // namespace

std::unique_ptr<Finding> make_burr() { return std::make_unique<Burr>(); }

}  // namespace halfturn::review
