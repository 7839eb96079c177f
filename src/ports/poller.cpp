#include "ports/poller.hpp"

namespace halfturn {
namespace {

constexpr double answer_overdue_s = 1.0;  // the slowest published instrument answers within 0.94 s

}  // namespace

Poller::Poller(const PortSetUp& port) {
    const Format* format = find_format(port.format);
    if (!format) return;
    request_ = request_for(*format, port.settings);
    const double every_s = as_set(*format, port.settings).poll_every_s;
    if (every_s > 0) every_s_ = every_s;
}

bool Poller::due(Instant now) const {
    if (asked_at_ < 0) return true;
    const double since = seconds(now - asked_at_);
    return answered_ ? since >= every_s_ : since >= answer_overdue_s;
}

}  // namespace halfturn
