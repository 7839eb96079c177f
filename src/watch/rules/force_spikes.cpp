// Lone glitches in the force readings: one is marked and passed over, several ask for a look at the wiring.
#include "watch/rule.hpp"

namespace halfturn {
namespace {

constexpr int worth_saying = 4;

class ForceSpikes : public Rule {
public:
    const RuleInfo& info() const override {
        static const RuleInfo info{"force-spikes", Call::look_closer, "Go on; the single wild readings were left out.",
                                   {"the load cell's cable and shield", "the supply of its amplifier"}};
        return info;
    }
    std::optional<std::string> on_trouble(const View& view, const Trouble& trouble) override {
        if (trouble.what != Trouble::What::spike || view.gates[trouble.channel].measures() != Measure::force) return {};
        const int count = view.gates[trouble.channel].spikes();
        if (count < worth_saying) return {};
        return std::to_string(count) + " single force readings jumped away and came back at once.";
    }
};

}  // namespace

std::unique_ptr<Rule> make_force_spikes() { return std::make_unique<ForceSpikes>(); }

}  // namespace halfturn
