#include "practice/wire.hpp"

#include <algorithm>
#include <cmath>

namespace halfturn::practice {
namespace {
constexpr std::size_t adapter_holds = 62;
}

Wire::Wire(double character_s, double batch_s, Random random)
    : character_s_(character_s), batch_s_(batch_s), phase_s_(0), wakes_s_(0.0002), random_(random) {
    phase_s_ = random_.between(0, batch_s_);
}

void Wire::send(double t_s, std::string_view bytes) {
    busy_until_s_ = std::max(busy_until_s_, t_s);
    for (const char c : bytes) {
        busy_until_s_ += character_s_;
        bytes_.push_back({busy_until_s_, c});
    }
}

std::optional<Batch> Wire::receive(double t_s) {
    if (bytes_.empty()) return {};
    double hands_on_s = bytes_.front().through_s;
    if (batch_s_ > 0) hands_on_s = std::ceil((hands_on_s - phase_s_) / batch_s_) * batch_s_ + phase_s_;
    if (bytes_.size() >= adapter_holds) hands_on_s = std::min(hands_on_s, bytes_[adapter_holds - 1].through_s);
    if (hands_on_s + wakes_s_ > t_s) return {};
    Batch batch;
    while (!bytes_.empty() && bytes_.front().through_s <= hands_on_s && batch.bytes.size() < adapter_holds) {
        batch.bytes += bytes_.front().value;
        bytes_.pop_front();
    }
    batch.t_s = std::max(last_s_ + 1e-6, hands_on_s + wakes_s_);
    last_s_ = batch.t_s;
    wakes_s_ = random_.between(0.00005, 0.0004);
    return batch;
}

void Wire::lose_before(double t_s) {
    while (!bytes_.empty() && bytes_.front().through_s < t_s) bytes_.pop_front();
}

}  // namespace halfturn::practice
