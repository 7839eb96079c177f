// An instrument that should speak has gone quiet, or its port is lost. Its number leaves the screen.
#include "watch/rule.hpp"

namespace halfturn {
namespace {

class InstrumentSilent : public Rule {
public:
    const RuleInfo& info() const override {
        static const RuleInfo info{"instrument-silent", Call::cant_tell, "Stop turning and hold until it speaks again.",
                                   {"the cable and the plug", "the instrument's battery or supply",
                                    "has the instrument switched itself off"}};
        return info;
    }
    std::optional<std::string> on_tick(const View& view, Instant now) override {
        if (over(view)) return {};
        for (std::size_t i = 0; i < view.gates.size(); ++i) {
            const double silence_s = view.set_up.ports[view.gates[i].port()].silence_s;
            if (silence_s <= 0 || view.heard[i] < 0 || seconds(now - view.heard[i]) <= silence_s) continue;
            return "No good " + std::string(measure_name(view.gates[i].measures())) + " reading for " +
                   seconds_text(now - view.heard[i]) + ".";
        }
        return {};
    }
    std::optional<std::string> on_trouble(const View& view, const Trouble& trouble) override {
        if (trouble.what != Trouble::What::port_lost || over(view)) return {};
        return "The " + std::string(measure_name(view.gates[trouble.channel].measures())) + " instrument's port is gone.";
    }
    // Where silence has no limit, an instrument that never gave a number is told of at the end.
    std::optional<std::string> on_end(const View& view) override {
        if (over(view)) return {};
        for (const Gate& gate : view.gates)
            if (!gate.ever()) return "The job ended without a single good " + std::string(measure_name(gate.measures())) + " reading.";
        return {};
    }

private:
    static bool over(const View& view) { return view.progress.phase() == Phase::clear; }
    static std::string seconds_text(Instant span) {
        const auto tenths = span / (nanoseconds_per_second / 10);
        return std::to_string(tenths / 10) + "." + std::to_string(tenths % 10) + " s";
    }
};

}  // namespace

std::unique_ptr<Rule> make_instrument_silent() { return std::make_unique<InstrumentSilent>(); }

}  // namespace halfturn
