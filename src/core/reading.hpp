// What the bytes of an instrument mean: a reading, a fault, a reject or an information. Failure kinds are kept apart, and
// only a reading carries a number that may be used.
#pragma once

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>
#include <variant>

#include "core/decimal.hpp"
#include "core/unit.hpp"

namespace halfturn {

// The name of one of several values that share a port ("X", "01", "screw-travel"), short enough to live in a reading.
struct ChannelName {
    std::array<char, 12> text{};

    ChannelName() = default;
    explicit ChannelName(std::string_view name) {
        for (std::size_t i = 0; i < name.size() && i < text.size(); ++i) text[i] = name[i];
    }
    std::string_view view() const {
        std::size_t length = 0;
        while (length < text.size() && text[length] != '\0') ++length;
        return {text.data(), length};
    }
    friend bool operator==(const ChannelName&, const ChannelName&) = default;
};

enum class Kind : std::uint8_t { none, gross, net, tare, peak, minimum, range, live };
std::string_view kind_name(Kind kind);  // "gross", "peak", …; none gives ""
// Whether a value of this kind follows the thing measured now; a stored tare, peak, least or range does not.
bool is_live(Kind kind);
enum class Limit : std::uint8_t { none, under, go, over };              // the instrument's own tolerance judgement
enum class Suspect : std::uint8_t { none, power_of_two_less_one, all_ones };  // reads like a wiring glitch
enum class DeviceClock : std::uint8_t { none, us, ms, raw };            // unit of device_time; raw: as the source left it

struct Reading {
    Decimal value;
    Unit unit = Unit::none;
    std::int8_t decimals = 0;             // as printed: the least count is 10^-decimals units
    Kind kind = Kind::none;
    Limit judged = Limit::none;
    Suspect suspect = Suspect::none;
    DeviceClock clock = DeviceClock::none;
    std::optional<bool> stable;
    bool unit_from_settings = false;
    bool negative_zero = false;
    bool decimal_comma = false;
    bool high_resolution = false;
    bool centre_of_zero = false;
    ChannelName channel;
    std::uint64_t device_time = 0;        // as sent, not unwrapped
    std::optional<std::int64_t> unwrapped;  // a counter's value with its wraps undone
    std::string_view byte_order;          // "cdab", a fixed word, where the format has several; else empty
};

enum class FaultCode : std::uint8_t {
    // void: no number may be used until a good reading comes
    overload, underload, overrange, saturated, sensor, no_data, not_a_number, busy, not_zeroed, bad_command, comm,
    device_error, zero_refused, tare_refused, line_settings, device_restarted,
    // advisory: the value beside it stands
    battery_low, not_stable,
};
constexpr std::size_t fault_code_count = 18;

std::string_view fault_name(FaultCode code);  // "overload", stable ids of the contracts
std::optional<FaultCode> fault_from_name(std::string_view name);
bool is_advisory(FaultCode code);
// What a healthy instrument may answer now and then (busy, no data yet, a command it did not take); only its lasting is news.
bool passes_by_itself(FaultCode code);

// Something more that an instrument said beside a fault or an information, for the record and for people: its serial number,
// or the number it printed while overloaded. Never a value to use.
struct Remark {
    std::string_view key;  // a fixed word: "serial", "value", "unit", …; empty: no remark
    std::string text;
};

struct Fault {
    FaultCode code = FaultCode::device_error;
    std::string detail = {};  // what the instrument said, for people
    ChannelName channel = {};
    Remark remark = {};
};

// Bytes that must not become a value. Reasons are short fixed words: "presync", "format", "length", "checksum", ….
struct Reject {
    std::string_view reason = "format";
    std::string detail = {};  // where and why, for logs whose lines a person can mend; else empty
};

// An acknowledgement, banner, echo or identification.
struct Info {
    std::string_view what;  // "banner", "ack", "unit", …: a fixed word
    std::string text;       // as received, may be empty
    Remark remark = {};
};

using Item = std::variant<Reading, Fault, Reject, Info>;

}  // namespace halfturn
