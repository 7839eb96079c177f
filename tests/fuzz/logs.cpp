// Logs of other loggers: whatever a log holds, it becomes events in order or is refused as BadInput; the job made of them can
// be judged, and exported it is the same log again.
// Input: a first line "csv" or "lines", then the log.
#include "core/failure.hpp"
#include "curve/frozen_set_up.hpp"
#include "files/json_value.hpp"
#include "fuzz/frame/fuzz.hpp"
#include "ports/log_port.hpp"
#include "record/export.hpp"
#include "watch/judge.hpp"
#include "watch/judgement_json.hpp"

namespace halfturn::fuzz {
namespace {

constexpr std::string_view job_toml = "work = \"out\"\n[bearing]\ndesignation = \"61902\"\n[seat_fit]\nclass = \"N7\"\n";
constexpr std::string_view rig_toml = R"(name = "fuzz"
[screw]
thread = "M8"
[press]
stiffness_N_per_mm = 20000
force_limit_N = 5000
[[port]]
name = "force"
format = "hdr-comma"
[[port]]
name = "caliper"
format = "value-unit"
[[port]]
name = "counter"
format = "axis-semi"
[[channel]]
port = "force"
measures = "force"
unit = "N"
[[channel]]
port = "caliper"
measures = "screw-travel"
unit = "mm"
[[channel]]
port = "counter"
measures = "turns"
index = "X"
counts_per_turn = 1200
)";

const SetUp& bench() {
    static const SetUp set_up =
        curve::freeze(read_job_text(std::string(job_toml), "job"), read_rig_text(std::string(rig_toml), "rig"), 1).set_up;
    return set_up;
}

// A log may last a week, and ten ticks a second of it are made up. That is as meant, but too slow for here: five digits
// before the mark, or an exponent, are more than these logs need.
bool too_long(std::string_view text, std::size_t most_digits) {
    std::size_t digits = 0;
    bool decimals = false;
    for (const char c : text) {
        const bool digit = c >= '0' && c <= '9';
        if ((c == 'e' || c == 'E') && (digits > 0 || decimals)) return true;
        if (digit && !decimals && ++digits > most_digits) return true;
        if (!digit) digits = 0;
        decimals = c == '.' || (decimals && digit);
    }
    return false;
}

bool any_time_too_long(std::string_view lines) {
    constexpr std::string_view key = "t_ms\":";
    for (std::size_t at = lines.find(key); at != std::string_view::npos; at = lines.find(key, at + 1)) {
        const std::string_view rest = lines.substr(at + key.size());
        if (too_long(rest.substr(0, rest.find_first_of(",}\n")), 7)) return true;
    }
    return false;
}

std::string bytes_of(const std::vector<Event>& events) {
    std::string bytes;
    for (const Event& event : events) append_event_bytes(event, bytes);
    return bytes;
}

void judge(const SetUp& set_up, const std::vector<Event>& events) {
    Instant newest = 0;
    std::uint64_t seq = 0;
    Judge judge(set_up);
    for (const Event& event : events) {
        if (event.at < newest || event.seq != ++seq) broken("the log's events are out of order");
        newest = event.at;
        judge.on(event);
    }
    JsonValue::parse(judgement_json(judge.judgement(), set_up, "job"), "judgement");
}

}  // namespace

void try_logs(std::string_view bytes) {
    const std::string_view kind = take_line(bytes);
    const std::string text(bytes);
    SetUp set_up = bench();
    std::vector<Event> events;
    try {
        if (kind == "csv") {
            if (too_long(text, 4)) return;
            CsvLog log = read_csv_log(text, "log");
            events = log.events();
            set_up.ports = {log.port};
            set_up.channels = log.channels;
        } else if (kind == "lines") {
            if (any_time_too_long(text)) return;
            events = events_from_json_lines(text, set_up, "log");
        }
    } catch (const BadInput&) {
        return;
    }
    if (events.empty()) return;
    judge(set_up, events);

    record::EventLog log(set_up);
    std::string exported;
    for (const Event& event : events) exported += log.line(event);
    if (bytes_of(events_from_json_lines(exported, set_up, "exported")) != bytes_of(events)) broken("exported, the log is another one");
}

}  // namespace halfturn::fuzz
