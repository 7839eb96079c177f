#include <algorithm>
#include <array>
#include <optional>
#include <string_view>

#include "core/failure.hpp"
#include "core/nearest_word.hpp"
#include "core/number_text.hpp"
#include "core/utf8.hpp"
#include "ports/log_events.hpp"
#include "ports/log_port.hpp"

namespace halfturn {
namespace {

constexpr double shortest_silence_s = 1;
constexpr double readings_missed = 5;

struct Column {
    std::string_view header;
    Measure measures;
    std::string_view index;  // the channel name that the log-csv format gives
};
constexpr std::array<Column, 5> known_columns = {{{"force_N", Measure::force, "force"},
                                            {"turns", Measure::turns, "turns"},
                                            {"screw_travel_mm", Measure::screw_travel, "screw-travel"},
                                            {"travel_mm", Measure::screw_travel, "screw-travel"},
                                            {"ring_travel_mm", Measure::ring_travel, "ring-travel"}}};

// RFC 4180: cells of one record, quotes undone. `at` moves past the record's line break.
std::vector<std::string> take_record(std::string_view text, std::size_t& at, std::size_t& line, const std::string& file) {
    std::vector<std::string> cells(1);
    const std::size_t first_line = line;
    bool quoted = false, was_quoted = false;
    while (at < text.size()) {
        const char c = text[at++];
        if (quoted) {
            if (c == '"' && at < text.size() && text[at] == '"') cells.back() += text[at++];
            else if (c == '"') quoted = false;
            else {
                if (c == '\n') ++line;
                cells.back() += c;
            }
        } else if (c == '"' && cells.back().empty() && !was_quoted) {
            quoted = was_quoted = true;
        } else if (c == ',') {
            cells.emplace_back();
            was_quoted = false;
        } else if (c == '\n') {
            ++line;
            if (!cells.back().empty() && cells.back().back() == '\r' ) cells.back().pop_back();
            return cells;
        } else {
            cells.back() += c;
        }
    }
    if (quoted) throw BadInput(file + ":" + std::to_string(first_line) + ": a quoted cell is never closed; add the missing \"");
    if (!cells.back().empty() && cells.back().back() == '\r') cells.back().pop_back();
    return cells;
}

std::string trimmed(std::string text) {
    const auto first = text.find_first_not_of(" \t"), last = text.find_last_not_of(" \t");
    return first == std::string::npos ? std::string() : text.substr(first, last - first + 1);
}

}  // namespace

CsvLog read_csv_log(const std::string& text, const std::string& name_for_errors) {
    CsvLog log;
    std::size_t at = text.starts_with("\xEF\xBB\xBF") ? 3 : 0, line = 1;
    const std::size_t header_start = at;
    if (at >= text.size()) throw BadInput(name_for_errors + ": is empty; a log needs a header line such as t_s,force_N,turns and rows");
    const std::vector<std::string> header = take_record(text, at, line, name_for_errors);
    const std::string header_bytes = text.substr(header_start, at - header_start);
    std::optional<std::size_t> time_column;
    std::vector<std::size_t> used;
    for (std::size_t i = 0; i < header.size(); ++i) {
        const std::string name = trimmed(header[i]);
        if (name == "t_s") {
            if (time_column) throw BadInput(name_for_errors + ":1: t_s stands twice in the header");
            time_column = i;
        }
        for (const Column& column : known_columns) {
            if (name != column.header) continue;
            for (const ChannelSetUp& other : log.channels)
                if (other.measures == column.measures)
                    throw BadInput(name_for_errors + ":1: " + std::string(measure_name(column.measures)) + " has two columns; keep one");
            ChannelSetUp channel;
            channel.measures = column.measures;
            channel.index = column.index;
            if (column.measures == Measure::turns) channel.counts_per_turn = 1;
            log.channels.push_back(channel);
            used.push_back(i);
        }
    }
    std::string names;
    for (const auto& name : header) names += (names.empty() ? "" : ", ") + name;
    if (!time_column) throw BadInput(name_for_errors + ":1: the header has no t_s (seconds); it has " + shown(names));
    if (log.channels.empty())
        throw BadInput(name_for_errors + ":1: the header has none of force_N, turns, screw_travel_mm, ring_travel_mm; it has " + shown(names));

    LogEvents events(static_cast<std::size_t>(std::count(text.begin(), text.end(), '\n')));
    events.add(0, OperatorDid{Act::begin, {}});
    events.add(0, BytesArrived{0, header_bytes});
    std::optional<double> first_s;
    double newest_s = 0;
    std::size_t rows = 0;
    double longest_gap_s = 0;
    std::vector<std::size_t> filled(used.size());  // cells with a number, column by column
    while (at < text.size()) {
        const std::size_t row_start = at, row_line = line;
        const std::vector<std::string> cells = take_record(text, at, line, name_for_errors);
        const auto error = [&](const std::string& what) { return BadInput(name_for_errors + ":" + std::to_string(row_line) + ": " + what); };
        if (cells.size() == 1 && trimmed(cells[0]).empty()) continue;
        if (cells.size() != header.size())
            throw error("has " + std::to_string(cells.size()) + " cells, but the header has " + std::to_string(header.size()));
        const auto t_s = parse_number(trimmed(cells[*time_column]));
        if (!t_s) throw error("t_s must be a number of seconds, but is \"" + shown(cells[*time_column]) + "\"");
        if (!first_s) first_s = newest_s = *t_s;
        if (*t_s < newest_s) throw error("t_s goes back from " + number_text(newest_s) + " to " + number_text(*t_s) + "; rows must stand in the order of time");
        if (*t_s - *first_s > longest_log_s) throw error("t_s is more than a week after the first row; are these milliseconds?");
        for (const std::size_t& column : used) {
            const std::string cell = trimmed(cells[column]);
            if (cell.empty()) continue;
            ++filled[static_cast<std::size_t>(&column - used.data())];
            if (!parse_number(cell))
                throw error(header[column] + " must be a number or empty, but is \"" + shown(cells[column]) + "\"");
        }
        longest_gap_s = std::max(longest_gap_s, *t_s - newest_s);
        newest_s = *t_s;
        ++rows;
        std::string bytes = text.substr(row_start, at - row_start);
        if (bytes.empty() || bytes.back() != '\n') bytes += '\n';
        events.add(from_seconds(*t_s - *first_s), BytesArrived{0, std::move(bytes)});
    }
    if (rows < 2) throw BadInput(name_for_errors + ": has " + std::to_string(rows) + " rows of readings; at least two are needed to judge anything");
    events.add(events.newest(), OperatorDid{Act::end, {}});
    const double span_s = newest_s - *first_s;
    // A logger may pause as a whole, and columns may be filled less often than others; a column that stays empty for longer
    // than either is an instrument that fell silent.
    log.port.silence_s = std::max(shortest_silence_s, 1.5 * longest_gap_s);
    for (std::size_t i = 0; i < log.channels.size() && span_s > 0; ++i) {
        if (filled[i] < 2) continue;
        log.channels[i].readings_per_s = static_cast<double>(filled[i] - 1) / span_s;
        log.port.silence_s = std::max(log.port.silence_s, readings_missed / log.channels[i].readings_per_s);
    }
    log.port.name = "log";
    log.port.format = "log-csv";
    log.port.start = Start::boundary;
    log.events = events.take();
    return log;
}

}  // namespace halfturn
