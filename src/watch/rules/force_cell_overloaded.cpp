// The force instrument is past its range. Whatever the true force is, it is more than the cell can measure.
#include "watch/rule.hpp"

namespace halfturn {
namespace {

class ForceCellOverloaded : public Rule {
public:
    const RuleInfo& info() const override {
        static const RuleInfo info{"force-cell-overloaded", Call::stop_and_inspect,
                                   "Stop turning now. Do not exceed the rated load. Back the screw off and wait for unloaded.",
                                   {"why the force is so high", "the load cell: check its zero before it is used again",
                                    "the cell's plug, if the press was hardly loaded"}};
        return info;
    }
    std::optional<std::string> on_trouble(const View& view, const Trouble& trouble) override {
        if (trouble.what != Trouble::What::fault || !trouble.fault || view.gates[trouble.channel].measures() != Measure::force) return {};
        switch (*trouble.fault) {
            case FaultCode::overload:
            case FaultCode::underload:
            case FaultCode::overrange:
            case FaultCode::saturated:
                return "The force instrument is past its range (" + trouble.detail + "); its last good reading was " +
                       newtons(view.now.force_N) + ".";
            default: return {};
        }
    }
};

}  // namespace

std::unique_ptr<Rule> make_force_cell_overloaded() { return std::make_unique<ForceCellOverloaded>(); }

}  // namespace halfturn
