// Logs of other loggers as a job's events, so that a log is judged by the same code as a live job: JSON lines of bytes as
// they arrived, or CSV with one row a reading. Ticks every 100 ms are made up; `begin` and `end` are added where missing.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "core/event.hpp"
#include "core/set_up.hpp"

namespace halfturn {

// A job takes minutes: later times than this are another unit.
inline constexpr double longest_log_s = 7 * 24 * 3600.0;

// Throws BadInput with line, what was expected and how to mend it. Port names are those of the set-up.
std::vector<Event> events_from_json_lines(const std::string& text, const SetUp& set_up, const std::string& name_for_errors);

// What a CSV log holds, checked as a whole: header names, number of cells, numbers, times that never go back. Its events are
// made as they are asked for: a long log would fill memory with them.
struct CsvLog {
    PortSetUp port;
    std::vector<ChannelSetUp> channels;  // with the rate of the rows

    void for_each_event(const std::function<void(const Event&)>& sink) const;
    std::vector<Event> events() const;  // all of them at once, for a short log

    struct Row {
        std::size_t from, past;          // in the text, with the line's end
        Instant at;
    };
    std::string text;
    std::vector<Row> rows;               // the header is the first
};
CsvLog read_csv_log(std::string text, const std::string& name_for_errors);

}  // namespace halfturn
