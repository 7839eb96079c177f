// The record has stopped: the job goes on, but there will be no proof of it.
#include "watch/rule.hpp"

namespace halfturn {
namespace {

class NotRecording : public Rule {
public:
    const RuleInfo& info() const override {
        static const RuleInfo info{"not-recording", Call::look_closer,
                                   "The press is still watched. Pause when you can and make room for the record.",
                                   {"is the disk full", "was the store moved or its disk unplugged"}};
        return info;
    }
    std::optional<std::string> on_recorder(Recording state, const std::string& detail) override {
        if (state != Recording::stopped) return {};
        return "This job is not being recorded" + (detail.empty() ? std::string(".") : ": " + detail);
    }
};

}  // namespace

std::unique_ptr<Rule> make_not_recording() { return std::make_unique<NotRecording>(); }

}  // namespace halfturn
