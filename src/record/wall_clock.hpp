// The calendar time of the record. Used for when a thing was done, never for how long it took.
#pragma once

#include <cstdint>
#include <optional>
#include <string>

namespace halfturn::record {

std::int64_t now_utc_ms();

// Is the computer's clock set by a time server? Nothing when the system does not say.
std::optional<bool> clock_synchronised();

std::string utc_text(std::int64_t utc_ms);     // "2024-05-17 09:31:02 UTC"
std::string utc_compact(std::int64_t utc_ms);  // "20240517T093102Z", for file names

}  // namespace halfturn::record
