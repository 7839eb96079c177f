// axis-semi: "X1234;" without line ends, 24 times a second at 9600 Bd; a weighted average may lag behind (smooth=N).
#include <cmath>

#include "core/number_text.hpp"
#include "practice/instruments/instrument.hpp"

namespace halfturn::practice {
namespace {

class AxisSemi : public Instrument {
public:
    explicit AxisSemi(OptionReader& options)
        : counts_per_turn_(options.number("counts_per_turn", 1200, 1, 1e6)),
          smooth_(options.number("smooth", 1, 1, 100)),
          axis_(options.choice("axis", "X", {"X", "Y", "Z", "W"})) {}

    std::string print(const Shown& shown) override {
        const double counts = std::floor(shown.value * counts_per_turn_);
        average_ = first_ ? counts : average_ + (counts - average_) / smooth_;
        first_ = false;
        return axis_ + fixed_text(std::round(average_), 0) + ";";
    }

private:
    double counts_per_turn_, smooth_, average_ = 0;
    bool first_ = true;
    std::string axis_;
};

}  // namespace

extern const InstrumentKind axis_semi;
const InstrumentKind axis_semi = {"axis-semi", {Measure::turns},
    9600, 10, 24, 0.01, 0.001, 0, 0, 0.001, "", 0,
    [](OptionReader& options) -> std::unique_ptr<Instrument> { return std::make_unique<AxisSemi>(options); }};

}  // namespace halfturn::practice
