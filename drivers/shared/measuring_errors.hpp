// What the serial calipers of the ERR0 … ERR3 family have in common. Not a format itself.
#pragma once

#include <optional>
#include <string_view>

#include "core/reading.hpp"

namespace halfturn {

// ERR0 sensor (too fast, dirt), ERR1 command, ERR2 parity, ERR3 range; another number is the instrument's own.
inline std::optional<FaultCode> measuring_error(std::string_view text) {
    if (text.size() != 4 || text.substr(0, 3) != "ERR") return {};
    switch (text[3]) {
        case '0': return FaultCode::sensor;
        case '1': return FaultCode::bad_command;
        case '2': return FaultCode::comm;
        case '3': return FaultCode::overrange;
        default: break;
    }
    if (text[3] < '0' || text[3] > '9') return {};
    return FaultCode::device_error;
}

// "<", "=" or ">" behind a value in tolerance mode, with the blanks before it.
inline Limit take_limit_sign(std::string_view& text) {
    if (text.empty()) return Limit::none;
    Limit judged = Limit::none;
    switch (text.back()) {
        case '<': judged = Limit::under; break;
        case '=': judged = Limit::go; break;
        case '>': judged = Limit::over; break;
        default: return Limit::none;
    }
    text.remove_suffix(1);
    while (!text.empty() && text.back() == ' ') text.remove_suffix(1);
    return judged;
}

// A command that came back: these instruments may repeat what they were asked ("?", "UNI?", "SET?", "PRI", "OUT1"), or told
// (preset, reset, hold, key lock).
inline bool is_echo(std::string_view text) {
    if (text.back() == '?') return true;
    for (const std::string_view command : {"PRI", "OUT1", "OUT0", "PRE", "RST", "STO1", "STO0", "KEY1", "KEY0"})
        if (text == command) return true;
    return false;
}

}  // namespace halfturn
