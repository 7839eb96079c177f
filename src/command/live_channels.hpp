// The instruments of one or more rig files, live: events of the sequencer in, newest trusted value of each
// channel out.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "core/event.hpp"
#include "core/framer.hpp"
#include "core/set_up.hpp"
#include "watch/gate.hpp"

namespace halfturn::command {

class LiveChannels {
public:
    // Takes ports and channels from the set-up; a channel listed in `as_printed` (by position) keeps its
    // instrument's own numbers, without calibration, as a calibration wants them.
    LiveChannels(const SetUp& set_up, const std::vector<std::size_t>& as_printed);

    void on(const Event& event);

    // Every reading that the newest event brought, at the time when its last byte arrived: less the time on the wire of the bytes
    // that followed in the same read.
    struct Fresh {
        std::size_t channel;
        Instant at;
        double value;
    };
    const std::vector<Fresh>& fresh() const { return fresh_; }

    struct Value {
        bool known = false;
        double value = 0;
        std::uint64_t count = 0;  // readings so far: a new one shows here
        double least_count = 0;   // of the display, as printed; 0 until known
        Instant at = 0;
        std::string trouble;  // last fault, in its own words; empty when the newest reading was good
    };
    const Value& value(std::size_t channel) const { return values_[channel]; }

private:
    void take(std::uint16_t port, const Item& item, Instant at);

    std::vector<Framer> framers_;
    std::vector<double> seconds_per_byte_;  // of each port; 0 where the bytes carry their own time
    std::vector<Fresh> fresh_;
    std::vector<Gate> gates_;
    std::vector<Value> values_;
};

}  // namespace halfturn::command
