#include "ports/poller.hpp"

namespace halfturn {
namespace {

constexpr double answer_overdue_s = 1.0;  // the slowest published instrument answers within 0.94 s

std::string unescaped(const std::string& text) {
    std::string out;
    for (std::size_t i = 0; i < text.size(); ++i) {
        if (text[i] == '\\' && i + 1 < text.size() && (text[i + 1] == 'r' || text[i + 1] == 'n' || text[i + 1] == '\\')) {
            ++i;
            out += text[i] == 'r' ? '\r' : text[i] == 'n' ? '\n' : '\\';
        } else {
            out += text[i];
        }
    }
    return out;
}

}  // namespace

Poller::Poller(const PortSetUp& port) {
    const Format* format = find_format(port.format);
    if (format) {
        request_ = std::string(format->poll);
        if (format->poll_every_s > 0) every_s_ = format->poll_every_s;
    }
    if (const auto it = port.settings.find("poll"); it != port.settings.end()) request_ = it->second == "none" ? "" : unescaped(it->second);
}

bool Poller::due(Instant now) const {
    if (asked_at_ < 0) return true;
    const double since = seconds(now - asked_at_);
    return answered_ ? since >= every_s_ : since >= answer_overdue_s;
}

}  // namespace halfturn
