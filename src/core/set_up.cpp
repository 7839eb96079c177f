#include "core/set_up.hpp"

#include <algorithm>
#include <array>

namespace halfturn {
namespace {
constexpr std::array<std::string_view, 4> measure_names = {"force", "screw-travel", "ring-travel", "turns"};
}

std::string_view work_name(Work work) { return work == Work::out ? "out" : "in"; }
std::string_view access_name(Access access) {
    switch (access) {
        case Access::past_spacer: return "past-spacer";
        case Access::through: return "through";
        case Access::unknown: break;
    }
    return "unknown";
}
std::string_view measure_name(Measure measure) { return measure_names[static_cast<std::size_t>(measure)]; }

std::optional<Measure> measure_from_name(std::string_view name) {
    for (std::size_t i = 0; i < measure_names.size(); ++i)
        if (measure_names[i] == name) return static_cast<Measure>(i);
    return {};
}

const ChannelSetUp* find_channel(const SetUp& set_up, Measure measure) {
    const auto found = std::find_if(set_up.channels.begin(), set_up.channels.end(),
                                    [&](const ChannelSetUp& c) { return c.measures == measure; });
    return found == set_up.channels.end() ? nullptr : &*found;
}

bool flats_by_hand(const SetUp& set_up) {
    return !find_channel(set_up, Measure::turns) && !find_channel(set_up, Measure::screw_travel);
}

}  // namespace halfturn
