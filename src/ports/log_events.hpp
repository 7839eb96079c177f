// Puts what a log holds into events in order, making up the ticks between.
#pragma once

#include <algorithm>
#include <functional>
#include <utility>

#include "core/event.hpp"

namespace halfturn {

using EventSink = std::function<void(const Event&)>;

class LogEvents {
public:
    // `sink` gets each event as it is made, and must live as long as this.
    explicit LogEvents(const EventSink& sink) : sink_(sink) {}

    void add(Instant at, const What& what) {
        for (; next_tick_ <= at; next_tick_ += tick_every) {
            stamp(tick_, next_tick_);
            sink_(tick_);
        }
        stamp(event_, at);
        event_.what = what;  // into the room of the one before, where that was bytes too
        sink_(event_);
    }
    Instant newest() const { return newest_; }

private:
    void stamp(Event& event, Instant at) {
        newest_ = std::max(newest_, at);
        event.seq = ++seq_;
        event.at = newest_;
    }

    const EventSink& sink_;
    Event event_, tick_{0, 0, Tick{}};
    std::uint64_t seq_ = 0;
    Instant next_tick_ = tick_every, newest_ = 0;
};

}  // namespace halfturn
