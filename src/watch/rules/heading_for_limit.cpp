// Force, looked ahead by the time a person needs to stop, meets the rig's hard limit. Stands on the certificate's zero,
// never on the job's tare.
#include <algorithm>

#include "watch/rule.hpp"

namespace halfturn {
namespace {

constexpr double worth_looking_ahead_share = 0.25;  // a hand that has just met the slack's end is not heading anywhere yet

class HeadingForLimit : public Rule {
public:
    const RuleInfo& info() const override {
        static const RuleInfo info{"heading-for-limit", Call::stop_and_inspect,
                                   "Stop turning now. Do not exceed the rated load. Back the screw off and wait for unloaded.",
                                   {"why the ring has not moved", "the load cell's and the screw's rated load",
                                    "the screw for bending"}};
        return info;
    }
    std::optional<std::string> on_sample(const View& view) override {
        const double limit = view.set_up.force_limit_N;
        if (limit <= 0 || !view.now.force_fresh) return {};
        const bool close = view.now.gross_N > worth_looking_ahead_share * limit && view.progress.phase() != Phase::sliding &&
                           ahead_N(view) > limit;
        if (!two_(close || view.now.gross_N > limit)) return {};
        if (view.now.gross_N > limit)
            return "Force is at " + newtons(view.now.gross_N) + ", above this rig's limit of " + newtons(limit) + ".";
        return "Force is at " + newtons(view.now.gross_N) + " and rising so fast that it meets this rig's limit of " +
               newtons(limit) + " before a hand can stop.";
    }

private:
    static double ahead_N(const View& view) { return view.now.gross_N + view.set_up.lead_s * std::max(0.0, view.progress.force_per_s()); }
    TwoInARow two_;
};

}  // namespace

std::unique_ptr<Rule> make_heading_for_limit() { return std::make_unique<HeadingForLimit>(); }

}  // namespace halfturn
