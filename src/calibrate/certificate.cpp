#include "calibrate/certificate.hpp"

#include <algorithm>
#include <chrono>

#include "core/failure.hpp"
#include "core/json_writer.hpp"
#include "core/number_text.hpp"
#include "core/sha256.hpp"

namespace halfturn::calibrate {
namespace {

using Day = std::chrono::year_month_day;

std::optional<Day> parse_day(std::string_view text) {
    if (text.size() != 10 || text[4] != '-' || text[7] != '-') return {};
    for (std::size_t i = 0; i < text.size(); ++i)
        if (i != 4 && i != 7 && (text[i] < '0' || text[i] > '9')) return {};
    const auto part = [&](std::size_t at, std::size_t length) {
        return static_cast<int>(*parse_integer(text.substr(at, length)));
    };
    const Day day{std::chrono::year(part(0, 4)), std::chrono::month(static_cast<unsigned>(part(5, 2))),
                  std::chrono::day(static_cast<unsigned>(part(8, 2)))};
    return day.ok() ? std::optional(day) : std::nullopt;
}

Day need_day(std::string_view text) {
    if (const auto day = parse_day(text)) return *day;
    throw BadInput("\"" + std::string(text) + "\" is no date; write it as 2024-05-31");
}

std::string day_text(Day day) {
    const auto digits = [](int value, std::size_t width) {
        std::string text = std::to_string(value);
        text.insert(0, width - std::min(width, text.size()), '0');
        return text;
    };
    return digits(static_cast<int>(day.year()), 4) + "-" +
           digits(static_cast<int>(static_cast<unsigned>(day.month())), 2) + "-" +
           digits(static_cast<int>(static_cast<unsigned>(day.day())), 2);
}

std::string json_with(const Certificate& c, const std::string& id) {
    JsonWriter json;
    json.object();
    if (!id.empty()) json.put("id", id);
    json.put("kind", c.kind)
        .put("rig", c.rig)
        .put("channel", c.channel)
        .put("serial", c.serial)
        .put("configuration", c.configuration);
    json.put("who", c.who).put("made", c.made).put("valid_until", c.valid_until);
    json.put("reference", c.reference)
        .put("reference_certificate", c.reference_certificate)
        .key("temperature_C");
    if (c.temperature_C)
        json.number(*c.temperature_C);
    else
        json.null();
    json.put("supersedes", c.supersedes)
        .put("readings", c.readings)
        .key("result")
        .raw(c.result_json.empty() ? "null" : c.result_json);
    return json.end().take();
}

}  // namespace

std::string certificate_id(const Certificate& c) {
    std::string date = c.made;
    std::erase(date, '-');
    constexpr std::size_t shown = 8;
    return c.kind + "-" + date + "-" + hex(sha256(json_with(c, ""))).substr(0, shown);
}

std::string certificate_json(const Certificate& c) { return json_with(c, certificate_id(c)); }

bool is_date(std::string_view text) { return parse_day(text).has_value(); }

std::string months_later(std::string_view date, int months) {
    Day day = need_day(date) + std::chrono::months(months);
    if (!day.ok()) day = day.year() / day.month() / std::chrono::last;
    return day_text(day);
}

Validity validity_on(std::string_view valid_until, std::string_view today) {
    const auto left = std::chrono::sys_days(need_day(valid_until)) - std::chrono::sys_days(need_day(today));
    if (left < std::chrono::days(0)) return Validity::expired;
    return left <= std::chrono::days(30) ? Validity::due_soon : Validity::valid;
}

}  // namespace halfturn::calibrate
