// An instrument says that its number may not be used. (A force cell past its range is a rule of its own.)
#include "watch/rule.hpp"

namespace halfturn {
namespace {

class InstrumentFault : public Rule {
public:
    const RuleInfo& info() const override {
        static const RuleInfo info{"instrument-fault", Call::cant_tell, "Stop turning and hold. Look at the instrument.",
                                   {"what the instrument shows", "its plug, battery and settings",
                                    "zero again with the stack loose before the next pull"}};
        return info;
    }
    std::optional<std::string> on_trouble(const View& view, const Trouble& trouble) override {
        const std::string name(measure_name(view.gates[trouble.channel].measures()));
        if (trouble.what == Trouble::What::no_number)
            return "The " + name + " instrument sends a unit that can't be used here: " + trouble.detail + ".";
        if (trouble.what == Trouble::What::not_live)
            return "The " + name + " instrument now sends its " + trouble.detail + " value, not the one the job began with.";
        if (trouble.what != Trouble::What::fault || !trouble.fault || passes_by_itself(*trouble.fault)) return {};
        const bool force = view.gates[trouble.channel].measures() == Measure::force;
        const bool range = *trouble.fault == FaultCode::overload || *trouble.fault == FaultCode::saturated ||
                           *trouble.fault == FaultCode::overrange || *trouble.fault == FaultCode::underload;
        if (force && range) return {};
        return "The " + name + " instrument reports a fault: " + trouble.detail + ".";
    }
};

}  // namespace

std::unique_ptr<Rule> make_instrument_fault() { return std::make_unique<InstrumentFault>(); }

}  // namespace halfturn
