#include "record/wall_clock.hpp"

#include <sys/timex.h>

#include <array>
#include <chrono>
#include <cstdio>

namespace halfturn::record {
namespace {

std::string formatted(std::int64_t utc_ms, const char* pattern) {
    using namespace std::chrono;
    const sys_time<milliseconds> at{milliseconds(utc_ms)};
    const auto day = floor<days>(at);
    const year_month_day date{day};
    const hh_mm_ss time{floor<std::chrono::seconds>(at - day)};
    std::array<char, 64> text{};
    std::snprintf(text.data(), text.size(), pattern, static_cast<int>(date.year()), static_cast<unsigned>(date.month()),
                  static_cast<unsigned>(date.day()), static_cast<int>(time.hours().count()),
                  static_cast<int>(time.minutes().count()), static_cast<int>(time.seconds().count()));
    return text.data();
}

}  // namespace

std::int64_t now_utc_ms() {
    using namespace std::chrono;
    return duration_cast<milliseconds>(system_clock::now().time_since_epoch()).count();
}

std::optional<bool> clock_synchronised() {
    timex query{};
    const int state = adjtimex(&query);
    if (state < 0) return {};
    return state != TIME_ERROR && (query.status & STA_UNSYNC) == 0;
}

std::string utc_text(std::int64_t utc_ms) { return formatted(utc_ms, "%04d-%02u-%02u %02d:%02d:%02d UTC"); }
std::string utc_compact(std::int64_t utc_ms) { return formatted(utc_ms, "%04d%02u%02uT%02d%02d%02dZ"); }

}  // namespace halfturn::record
