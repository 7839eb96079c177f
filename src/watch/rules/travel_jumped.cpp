// Travel or turns stepped further than a hand can turn: the instrument was zeroed, preset or knocked in mid-job.
#include "watch/rule.hpp"

namespace halfturn {
namespace {

class TravelJumped : public Rule {
public:
    const RuleInfo& info() const override {
        static const RuleInfo info{"travel-jumped", Call::cant_tell, "Stop turning and hold. Look at the instrument.",
                                   {"was its zero or preset key pressed", "was the caliper knocked or its jaw moved",
                                    "did the counter lose its place"}};
        return info;
    }
    std::optional<std::string> on_trouble(const View& view, const Trouble& trouble) override {
        if (trouble.what != Trouble::What::jumped) return {};
        return "The " + std::string(measure_name(view.gates[trouble.channel].measures())) +
               " reading jumped further than a hand can turn; its zero may have been set in mid-job.";
    }
};

}  // namespace

std::unique_ptr<Rule> make_travel_jumped() { return std::make_unique<TravelJumped>(); }

}  // namespace halfturn
