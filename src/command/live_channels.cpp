#include "command/live_channels.hpp"

#include <algorithm>
#include <cmath>

namespace halfturn::command {

LiveChannels::LiveChannels(const SetUp& set_up, const std::vector<std::size_t>& as_printed)
    : values_(set_up.channels.size()) {
    for (const auto& port : set_up.ports) {
        framers_.emplace_back(*find_format(port.format), port.settings, port.start, port.marked);
        seconds_per_byte_.push_back(port.device.empty() ? 0 : port.line.seconds_per_character());
    }
    for (std::size_t i = 0; i < set_up.channels.size(); ++i) {
        ChannelSetUp channel = set_up.channels[i];
        // The identity, not an empty list: counts have no other way to become a number.
        if (std::find(as_printed.begin(), as_printed.end(), i) != as_printed.end())
            channel.coefficients = {0, 1};
        gates_.emplace_back(channel, set_up.ports[channel.port], set_up.force_limit_N);
    }
}

void LiveChannels::take(std::uint16_t port, const Item& item, Instant at) {
    for (std::size_t i = 0; i < gates_.size(); ++i) {
        if (gates_[i].port() != port) continue;
        Value& value = values_[i];
        const std::uint64_t before = value.count;
        if (const auto* reading = std::get_if<Reading>(&item); reading && gates_[i].is_for(*reading)) {
            switch (gates_[i].take(*reading, at)) {
                case Gate::Outcome::wrong_unit:
                    value.trouble = "the unit is not the one expected";
                    break;
                case Gate::Outcome::not_live:
                    value.trouble = "it sends its " + std::string(kind_name(reading->kind)) + " value, not the live one";
                    break;
                case Gate::Outcome::no_number:
                    value.trouble = "its unit can't be used here";
                    break;
                case Gate::Outcome::held:
                    break;
                default:
                    value.trouble.clear();
                    ++value.count;
                    value.at = at;
                    if (const auto factor = factor_to_base(reading->unit))
                        value.least_count = std::pow(10.0, -reading->decimals) * *factor;
            }
        } else if (const auto* fault = std::get_if<Fault>(&item); fault && !is_advisory(fault->code)) {
            gates_[i].fault(at);
            value.trouble = std::string(fault_name(fault->code)) +
                            (fault->detail.empty() ? "" : " (" + fault->detail + ")");
        }
        value.known = gates_[i].known();
        if (value.known) value.value = gates_[i].above_certificate_zero();
        if (value.known && value.count != before) fresh_.push_back({i, at, value.value});
    }
}

void LiveChannels::on(const Event& event) {
    fresh_.clear();
    if (const auto* arrived = std::get_if<BytesArrived>(&event.what)) {
        framers_[arrived->port].feed(
            arrived->bytes, [&](const Item& item, std::size_t after) {
                take(arrived->port, item, event.at - from_seconds(seconds_per_byte_[arrived->port] * static_cast<double>(after)));
            });
    } else if (const auto* sent = std::get_if<BytesSent>(&event.what)) {
        framers_[sent->port].sent(sent->bytes);
    } else if (const auto* changed = std::get_if<PortChanged>(&event.what);
               changed && changed->state != PortState::opened) {
        framers_[changed->port].end(
            [&](const Item& item, std::size_t) { take(changed->port, item, event.at); });
        take(changed->port, Fault{FaultCode::comm, changed->detail, {}}, event.at);
    }
}

}  // namespace halfturn::command
