// One warning, one file: a rule looks at where the job stands and says at most once per job what it saw. Rules know no
// clock, no files and no other rule; src/watch/rules/<name>.cpp defines make_<name>(), and CMake writes the list.
#pragma once

#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "watch/gate.hpp"
#include "watch/progress.hpp"
#include "watch/sample.hpp"
#include "watch/verdict.hpp"

namespace halfturn {

struct View {
    const SetUp& set_up;
    const Sample& now;
    const Progress& progress;
    const std::vector<Gate>& gates;     // one per channel
    const std::vector<Instant>& heard;  // when each channel last gave a good reading; -1 before the first
    bool warned = false;                // some rule has fired already
    const Gate* find(Measure measure) const {
        for (const Gate& gate : gates)
            if (gate.measures() == measure) return &gate;
        return nullptr;
    }
};

struct RuleInfo {
    std::string_view id;     // stored in jobs: never renamed, never reused
    Call call;
    std::string_view hands;  // what to do with the hands now
    std::vector<std::string_view> inspect;
};

// What a gate or a port reported besides a good reading.
struct Trouble {
    enum class What : std::uint8_t { fault, wrong_unit, not_live, jumped, spike, no_number, port_lost } what;
    std::size_t channel;     // index of the gate; for a lost port each of its channels is told
    std::string detail;      // fault id, or the unit or kind seen
    std::optional<FaultCode> fault;
};

class Rule {
public:
    virtual ~Rule() = default;
    virtual const RuleInfo& info() const = 0;
    // Each returns what was seen, one sentence, when the warning is due. Called until the rule has fired.
    virtual std::optional<std::string> on_sample(const View&) { return {}; }
    virtual std::optional<std::string> on_tick(const View&, Instant) { return {}; }
    virtual std::optional<std::string> on_trouble(const View&, const Trouble&) { return {}; }
    virtual std::optional<std::string> on_recorder(Recording, const std::string&) { return {}; }
    virtual std::optional<std::string> on_end(const View&) { return {}; }
};

// A fresh set of all rules, sorted by file name.
std::vector<std::unique_ptr<Rule>> make_all_rules();

// "1240 N" (with hard blanks) for sentences; "0.31 turn".
std::string newtons(double force_N);
std::string turns_words(double turns);
std::string millimetres(double mm);

// Counts how often in a row something was so: a force rule fires on the second reading, never on a lone glitch.
class TwoInARow {
public:
    bool operator()(bool seen) { return (count_ = seen ? count_ + 1 : 0) >= 2; }
private:
    int count_ = 0;
};

}  // namespace halfturn
