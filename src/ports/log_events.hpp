// Gathers the events of a log in order, making up the ticks between them.
#pragma once

#include <algorithm>
#include <cstddef>
#include <utility>
#include <vector>

#include "core/event.hpp"

namespace halfturn {

class LogEvents {
public:
    // About one event a line: letting the list grow costs more than filling it.
    explicit LogEvents(std::size_t lines = 0) { events_.reserve(lines + 16); }

    void add(Instant at, What what) {
        while (next_tick_ <= at) {
            push(next_tick_, Tick{});
            next_tick_ += tick_every;
        }
        push(at, std::move(what));
    }
    std::vector<Event> take() { return std::move(events_); }
    Instant newest() const { return newest_; }

private:
    void push(Instant at, What what) {
        newest_ = std::max(newest_, at);
        events_.push_back({events_.size() + 1, newest_, std::move(what)});
    }
    std::vector<Event> events_;
    Instant next_tick_ = tick_every, newest_ = 0;
};

}  // namespace halfturn
