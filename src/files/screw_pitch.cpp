#include "files/screw_pitch.hpp"

#include <array>
#include <utility>

#include "core/number_text.hpp"
#include "files/rig_file.hpp"

namespace halfturn {
namespace {

// ISO 261 coarse pitches, mm.
constexpr std::array<std::pair<double, double>, 8> coarse_pitches = {
    {{4, 0.7}, {5, 0.8}, {6, 1.0}, {8, 1.25}, {10, 1.5}, {12, 1.75}, {14, 2.0}, {16, 2.0}}};

}  // namespace

std::optional<double> pitch_of_thread(std::string_view thread) {
    if (thread.size() < 2 || thread.front() != 'M') return {};
    thread.remove_prefix(1);
    const auto cross = thread.find('x');
    if (cross != std::string_view::npos) {
        const auto pitch = parse_number(thread.substr(cross + 1));
        const auto diameter = parse_number(thread.substr(0, cross));
        if (!pitch || !diameter || *pitch <= 0 || *pitch > *diameter) return {};
        return pitch;
    }
    const auto diameter = parse_number(thread);
    if (!diameter) return {};
    for (const auto& [d, pitch] : coarse_pitches)
        if (d == *diameter) return pitch;
    return {};
}

std::optional<double> pitch_of(const RigFile& rig) {
    return rig.screw.pitch_mm ? rig.screw.pitch_mm : pitch_of_thread(rig.screw.thread);
}

}  // namespace halfturn
