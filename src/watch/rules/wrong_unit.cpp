// An instrument speaks in another unit than the one set, or changed its unit in mid-job. Nothing is converted silently.
#include "watch/rule.hpp"

namespace halfturn {
namespace {

class WrongUnit : public Rule {
public:
    const RuleInfo& info() const override {
        static const RuleInfo info{"wrong-unit", Call::cant_tell, "Stop turning and hold. Set the instrument's unit back.",
                                   {"the unit key of the instrument", "the unit in the rig file"}};
        return info;
    }
    std::optional<std::string> on_trouble(const View& view, const Trouble& trouble) override {
        if (trouble.what != Trouble::What::wrong_unit) return {};
        const Gate& gate = view.gates[trouble.channel];
        return "The " + std::string(measure_name(gate.measures())) + " instrument now says " + trouble.detail +
               "; the job began in " + std::string(unit_name(gate.unit())) + ".";
    }
};

}  // namespace

std::unique_ptr<Rule> make_wrong_unit() { return std::make_unique<WrongUnit>(); }

}  // namespace halfturn
