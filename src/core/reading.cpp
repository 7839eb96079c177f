#include "core/reading.hpp"

namespace halfturn {
namespace {

constexpr std::array<std::string_view, fault_code_count> names = {
    "overload",    "underload",    "overrange", "saturated",    "sensor",       "no_data",
    "not_a_number", "busy",        "not_zeroed", "bad_command", "comm",         "device_error",
    "zero_refused", "tare_refused", "line_settings", "device_restarted", "battery_low", "not_stable"};

}  // namespace

std::string_view fault_name(FaultCode code) { return names[static_cast<std::size_t>(code)]; }

std::optional<FaultCode> fault_from_name(std::string_view name) {
    for (std::size_t i = 0; i < names.size(); ++i)
        if (names[i] == name) return static_cast<FaultCode>(i);
    return {};
}

std::string_view kind_name(Kind kind) {
    switch (kind) {
        case Kind::gross: return "gross";
        case Kind::net: return "net";
        case Kind::tare: return "tare";
        case Kind::peak: return "peak";
        case Kind::minimum: return "min";
        case Kind::range: return "range";
        case Kind::live: return "live";
        case Kind::none: break;
    }
    return "";
}

bool is_live(Kind kind) {
    return kind == Kind::none || kind == Kind::gross || kind == Kind::net || kind == Kind::live;
}

bool is_advisory(FaultCode code) { return code == FaultCode::battery_low || code == FaultCode::not_stable; }


bool passes_by_itself(FaultCode code) {
    return is_advisory(code) || code == FaultCode::busy || code == FaultCode::bad_command || code == FaultCode::comm ||
           code == FaultCode::no_data || code == FaultCode::zero_refused || code == FaultCode::tare_refused;
}

}  // namespace halfturn
