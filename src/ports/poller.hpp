// When to ask a polled instrument again: at the best rate it allows, and again after a silence, never while an answer is due.
#pragma once

#include <string>

#include "core/event.hpp"
#include "core/set_up.hpp"

namespace halfturn {

class Poller {
public:
    // From the format's own request, or the port's `poll` setting ("\r" and "\n" escapes; "none" for a streaming instrument).
    explicit Poller(const PortSetUp& port);
    bool polls() const { return !request_.empty(); }
    const std::string& request() const { return request_; }
    bool due(Instant now) const;
    void asked(Instant now) { asked_at_ = now; answered_ = false; }
    void heard() { answered_ = true; }
    double every_s() const { return every_s_; }

private:
    std::string request_;
    double every_s_ = 0.1;
    Instant asked_at_ = -1;
    bool answered_ = true;
};

}  // namespace halfturn
