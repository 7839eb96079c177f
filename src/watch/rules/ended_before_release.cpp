// The job ended while the ring was still held: nothing unusual was seen, but its break-loose was not seen either.
#include "watch/rule.hpp"

namespace halfturn {
namespace {

class EndedBeforeRelease : public Rule {
public:
    const RuleInfo& info() const override {
        static const RuleInfo info{"ended-before-release", Call::look_closer, "The job is over; the ring is still in its seat.",
                                   {"is the ring still in its seat, and square", "does the record end where the pull ended"}};
        return info;
    }
    std::optional<std::string> on_end(const View& view) override {
        const Progress& progress = view.progress;
        const bool pulled = view.find(Measure::force) && progress.first_contact_turns();
        if (view.set_up.work != Work::out || !pulled || progress.released() || view.warned) return {};
        return "The job ended at up to " + newtons(progress.peak_N()) + " before the ring broke loose.";
    }
};

}  // namespace

std::unique_ptr<Rule> make_ended_before_release() { return std::make_unique<EndedBeforeRelease>(); }

}  // namespace halfturn
