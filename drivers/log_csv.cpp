// log-csv: a table of force and travel against time from any logger, so that it becomes a job like any other.
//
//     t_s,force_N,turns,screw_travel_mm,ring_travel_mm CR LF      header: names in any order, others are ignored
//     12.5,812.5,0.25,0.312,0.0 CR LF                             travel_mm means screw_travel_mm
//
// RFC 4180: CRLF or LF, fields may be quoted. Blanks around a number and an exponent (1e-05) are allowed, a decimal comma is
// not. Each cell is one reading on the channel force, turns, screw-travel or ring-travel, with t_s as the instrument's clock
// in microseconds, which may begin below zero (a pre-trigger) or at a wall clock's large number. An empty cell is no reading.
// A cell that is no number is a reject which names line and column; so is a row with the wrong number of cells, or with a
// time before the row above. The last line must be ended too, or it may be cut.
//
// Source: RFC 4180. Overload, silence, lag: whatever the logger did; silence limit 1 s.
#include <algorithm>
#include <array>
#include <string>
#include <vector>

#include "drivers/shared/options.hpp"
#include "drivers/shared/scientific.hpp"
#include "drivers/shared/words.hpp"

namespace halfturn {

extern const Format format_log_csv;

namespace {

constexpr std::size_t longest_row = 8192;
constexpr std::int64_t most_us = 10'000'000'000'000'000;  // 300 years either way: seconds of a wall clock fit, milliseconds don't

struct Column {
    std::string_view name;
    std::string_view channel;
    Unit unit;
};
constexpr std::array<Column, 6> columns = {{{"t_s", "", Unit::none},
                                            {"force_N", "force", Unit::N},
                                            {"turns", "turns", Unit::turns},
                                            {"screw_travel_mm", "screw-travel", Unit::mm},
                                            {"ring_travel_mm", "ring-travel", Unit::mm},
                                            {"travel_mm", "screw-travel", Unit::mm}}};
constexpr std::size_t ignored = columns.size();

class LogCsv final : public Decoder {
public:
    std::unique_ptr<Decoder> clone() const override { return std::make_unique<LogCsv>(*this); }

    std::size_t take(std::string_view head, bool ended, Items& items) override {
        const std::string_view visible = head.substr(0, longest_row);
        const std::size_t end = end_of_record(visible);
        if (end < visible.size()) {
            record(visible.substr(0, end), items);
            line_ += count_lines(visible.substr(0, end)) + 1;
            return end + 1;
        }
        if (visible.size() == longest_row) {
            items.emplace_back(Reject{"length", "line " + std::to_string(line_) + ": longer than " +
                                                    std::to_string(longest_row) + " bytes, or a quote is never closed"});
            line_ += count_lines(visible);
            return longest_row;
        }
        if (!ended) return 0;
        items.emplace_back(Reject{"length", "line " + std::to_string(line_) + ": has no line end, so it may be cut short"});
        return head.size();
    }

private:
    static std::size_t count_lines(std::string_view text) {
        std::size_t lines = 0;
        for (std::size_t at = 0; (at = text.find('\n', at)) != std::string_view::npos; ++at) ++lines;
        return lines;
    }

    static std::size_t end_of_record(std::string_view text) {
        const std::size_t line = std::min(text.find('\n'), text.size());
        if (text.substr(0, line).find('"') == std::string_view::npos) return line;
        bool quoted = false, may_open = true;  // a quote opens at the start of a field, and again right behind its close
        for (std::size_t at = 0; at < text.size(); ++at) {
            const char c = text[at];
            if (c == '\n' && !quoted) return at;
            const bool turns = c == '"' && (quoted || may_open);
            if (turns) quoted = !quoted;
            may_open = !quoted && (c == ',' || turns);
        }
        return text.size();
    }

    void record(std::string_view text, Items& items) {
        if (!text.empty() && text.back() == '\r') text.remove_suffix(1);
        if (text.empty()) return;
        if (columns_.empty()) return header(text, items);
        if (bad_header_) return add_reject(items, "header");
        row(text, items);
    }

    // The next cell of a record, without its quotes and the blanks around it; `more` tells whether a comma followed it.
    std::string_view take_cell(std::string_view& text, bool& more) {
        std::string_view cell;
        if (text.empty() || text.front() != '"') {
            cell = take_until(text, ',');
            more = cell.data() + cell.size() != text.data() + text.size();
        } else {
            unquoted_.clear();
            text.remove_prefix(1);
            while (!text.empty()) {
                const char c = text.front();
                text.remove_prefix(1);
                if (c == '"' && !skip_one(text, '"')) break;
                unquoted_ += c;
            }
            if (!text.empty() && text.front() != ',') unquoted_ += '"';  // text behind the closing quote: neither number nor name
            more = text.find(',') != std::string_view::npos;
            take_until(text, ',');
            cell = unquoted_;
        }
        skip_blanks(cell);
        drop_trailing_blanks(cell);
        return cell;
    }

    void header(std::string_view text, Items& items) {
        if (text.substr(0, 3) == "\xEF\xBB\xBF") text.remove_prefix(3);
        std::array<bool, 5> seen{};
        std::string problem;
        for (bool more = true; more;) {
            const std::string_view name = take_cell(text, more);
            std::size_t column = 0;
            while (column < columns.size() && columns[column].name != name) ++column;
            columns_.push_back(column);
            if (column == ignored) continue;
            const std::size_t meaning = column == 5 ? 3 : column;
            if (seen[meaning]) problem = "names " + std::string(columns[meaning].name) + " twice";
            seen[meaning] = true;
        }
        if (problem.empty() && !seen[0]) problem = "has no column t_s";
        if (problem.empty() && !seen[1] && !seen[2] && !seen[3] && !seen[4])
            problem = "has none of the columns force_N, turns, screw_travel_mm, ring_travel_mm";
        bad_header_ = !problem.empty();
        if (bad_header_) items.emplace_back(Reject{"header", "line " + std::to_string(line_) + ": the header " + problem});
        else add_info(items, "header", "");
    }

    void row(std::string_view text, Items& items) {
        struct Cell {
            std::size_t column;
            ParsedDecimal value;
        };
        const auto reject = [&](std::string_view reason, const std::string& what) {
            items.emplace_back(Reject{reason, "line " + std::to_string(line_) + ": " + what});
        };
        std::array<Cell, 4> cells{};
        std::size_t found = 0, position = 0;
        std::optional<std::int64_t> time_us;
        for (bool more = true; more; ++position) {
            if (position == columns_.size()) return reject("columns", "more cells than the header has names");
            const std::string_view cell = take_cell(text, more);
            const std::size_t column = columns_[position];
            if (column == ignored || (cell.empty() && column != 0)) continue;
            const auto value = parse_scientific(cell);
            if (!value) {
                reject("number", std::string(columns[column].name) + " = \"" + std::string(cell.substr(0, 40)) + "\" is not a number");
                if (column == 0) return;
            } else if (column == 0) {
                time_us = scaled_whole(value->value, 6);
                if (!time_us || *time_us < -most_us || *time_us > most_us)
                    return reject("time", "t_s = " + std::string(cell.substr(0, 40)) + " is not a time in seconds");
            } else {
                cells[found++] = {column, *value};
            }
        }
        if (position != columns_.size()) return reject("columns", "fewer cells than the header has names");
        if (*time_us < last_us_) return reject("time", "t_s is before the line above");
        last_us_ = *time_us;
        for (std::size_t i = 0; i < found; ++i) {
            Reading& reading = add_reading(items, cells[i].value, columns[cells[i].column].unit);
            reading.channel = ChannelName(columns[cells[i].column].channel);
            reading.clock = DeviceClock::us;
            reading.device_time = static_cast<std::uint64_t>(*time_us);
        }
    }

    std::vector<std::size_t> columns_;  // what each column of the table means: index in columns, or ignored
    bool bad_header_ = false;
    std::size_t line_ = 1;
    std::int64_t last_us_ = -most_us;
    std::string unquoted_;
};

}  // namespace

const Format format_log_csv = {
    .id = "log-csv",
    .title = "a logger's table of force and travel against time (CSV)",
    .measures = Quantity::force,
    .line = {},
    .longest_frame = longest_row,
    .silence_s = 1,
    .lag_s = 0,
    .poll = "",
    .poll_every_s = 0,
    .settings = {},
    .make = [](const Settings& settings, Start) -> std::unique_ptr<Decoder> {
        Options(format_log_csv, settings);
        return std::make_unique<LogCsv>();
    },
};

}  // namespace halfturn
