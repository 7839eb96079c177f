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

// RFC 4180, a record at a time.
class Records {
public:
    Records(std::string_view text, std::size_t at, const std::string& file) : text_(text), at_(at), file_(file) {}

    bool over() const { return at_ >= text_.size(); }
    std::size_t at() const { return at_; }  // where the next record begins
    std::size_t line() const { return line_; }
    // The cells of the next record, quotes undone; they last until the next call.
    const std::vector<std::string_view>& take() {
        const std::string_view rest = text_.substr(at_);
        const std::string_view line = rest.substr(0, rest.find('\n'));
        cells_.clear();
        if (line.find('"') != std::string_view::npos) {
            take_quoted();
            cells_.assign(unquoted_.begin(), unquoted_.end());
        } else {
            at_ += line.size();
            if (!over()) ++at_, ++line_;
            for (std::size_t from = 0, comma = 0; comma != std::string_view::npos; from = comma + 1) {
                comma = line.find(',', from);
                cells_.push_back(line.substr(from, comma - from));
            }
        }
        if (cells_.back().ends_with('\r')) cells_.back().remove_suffix(1);
        return cells_;
    }

private:
    void take_quoted() {
        unquoted_.assign(1, {});
        const std::size_t first_line = line_;
        bool quoted = false, was_quoted = false;
        while (!over()) {
            const char c = text_[at_++];
            if (c == '\n') ++line_;
            if (quoted) {
                if (c == '"' && !over() && text_[at_] == '"') unquoted_.back() += text_[at_++];
                else if (c == '"') quoted = false;
                else unquoted_.back() += c;
            } else if (c == '"' && unquoted_.back().empty() && !was_quoted) {
                quoted = was_quoted = true;
            } else if (c == ',') {
                unquoted_.emplace_back();
                was_quoted = false;
            } else if (c == '\n') {
                return;
            } else {
                unquoted_.back() += c;
            }
        }
        if (quoted) throw BadInput(file_ + ":" + std::to_string(first_line) + ": a quoted cell is never closed; add the missing \"");
    }

    std::string_view text_;
    std::size_t at_, line_ = 1;
    const std::string& file_;
    std::vector<std::string_view> cells_;
    std::vector<std::string> unquoted_;
};

bool is_blank(char c) { return c == ' ' || c == '\t'; }

std::string_view trimmed(std::string_view text) {
    while (!text.empty() && is_blank(text.front())) text.remove_prefix(1);
    while (!text.empty() && is_blank(text.back())) text.remove_suffix(1);
    return text;
}

// Most cells are seen to be numbers by their characters alone.
bool is_number(std::string_view text) {
    const auto digit = [](char c) { return c >= '0' && c <= '9'; };
    std::size_t at = text.starts_with('-') ? 1 : 0, points = 0;
    const std::size_t first = at;
    for (; at < text.size() && (digit(text[at]) || text[at] == '.'); ++at) points += text[at] == '.' ? 1 : 0;
    const bool plain = at == text.size() && at - first < 300 && points <= 1 && first < at && digit(text[first]) && digit(text.back());
    return plain || parse_number(text).has_value();
}

// Another logger's caliper need not stand at zero where the log begins, nor its counter. What the screw did is told by both, and
// compared; so where a log has both, each counts from its first reading. Force is left as it is: its zero is the logger's.
void count_from_the_first(std::vector<ChannelSetUp>& channels, const std::vector<double>& began_at) {
    const auto tells_turns = [](const ChannelSetUp& channel) {
        return channel.measures == Measure::turns || channel.measures == Measure::screw_travel;
    };
    if (std::count_if(channels.begin(), channels.end(), tells_turns) < 2) return;
    for (std::size_t i = 0; i < channels.size(); ++i)
        if (tells_turns(channels[i]) && began_at[i] != 0) channels[i].coefficients = {-began_at[i], 1};
}

}  // namespace

CsvLog read_csv_log(std::string given, const std::string& name_for_errors) {
    CsvLog log;
    log.text = std::move(given);
    const std::string& text = log.text;
    const std::size_t header_start = text.starts_with("\xEF\xBB\xBF") ? 3 : 0;
    Records records(text, header_start, name_for_errors);
    if (records.over()) throw BadInput(name_for_errors + ": is empty; a log needs a header line such as t_s,force_N,turns and rows");
    std::vector<std::string> header;
    for (const std::string_view name : records.take()) header.emplace_back(name);
    std::optional<std::size_t> time_column;
    std::vector<std::size_t> used;
    for (std::size_t i = 0; i < header.size(); ++i) {
        const std::string_view name = trimmed(header[i]);
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
        throw BadInput(name_for_errors + ":1: the header has none of force_N, turns, screw_travel_mm, ring_travel_mm; it has " +
                       shown(names));

    log.rows.reserve(static_cast<std::size_t>(std::count(text.begin(), text.end(), '\n')) + 2);
    log.rows.push_back({header_start, records.at(), 0});
    std::optional<double> first_s;
    double newest_s = 0;
    double longest_gap_s = 0;
    std::vector<std::size_t> filled(used.size());  // cells with a number, column by column
    std::vector<double> began_at(used.size());     // the first of them
    while (!records.over()) {
        const std::size_t row_start = records.at(), row_line = records.line();
        const std::vector<std::string_view>& cells = records.take();
        const auto error = [&](const std::string& what) {
            return BadInput(name_for_errors + ":" + std::to_string(row_line) + ": " + what);
        };
        if (cells.size() == 1 && trimmed(cells[0]).empty()) continue;
        if (cells.size() != header.size())
            throw error("has " + std::to_string(cells.size()) + " cells, but the header has " + std::to_string(header.size()));
        const auto t_s = parse_number(trimmed(cells[*time_column]));
        if (!t_s) throw error("t_s must be a number of seconds, but is \"" + shown(cells[*time_column]) + "\"");
        if (!first_s) first_s = newest_s = *t_s;
        if (*t_s < newest_s)
            throw error("t_s goes back from " + number_text(newest_s) + " to " + number_text(*t_s) +
                        "; rows must stand in the order of time");
        if (*t_s - *first_s > longest_log_s) throw error("t_s is more than a week after the first row; are these milliseconds?");
        for (const std::size_t& column : used) {
            const std::string_view cell = trimmed(cells[column]);
            if (cell.empty()) continue;
            if (!is_number(cell))
                throw error(header[column] + " must be a number or empty, but is \"" + shown(cells[column]) + "\"");
            const auto channel = static_cast<std::size_t>(&column - used.data());
            if (filled[channel]++ == 0) began_at[channel] = *parse_number(cell);
        }
        longest_gap_s = std::max(longest_gap_s, *t_s - newest_s);
        newest_s = *t_s;
        log.rows.push_back({row_start, records.at(), from_seconds(*t_s - *first_s)});
    }
    const std::size_t rows = log.rows.size() - 1;
    if (rows < 2)
        throw BadInput(name_for_errors + ": has " + std::to_string(rows) +
                       " rows of readings; at least two are needed to judge anything");
    const double span_s = newest_s - *first_s;
    // A logger may pause as a whole, and columns may be filled less often than others; a column that stays empty for longer
    // than either is an instrument that fell silent.
    log.port.silence_s = std::max(shortest_silence_s, 1.5 * longest_gap_s);
    for (std::size_t i = 0; i < log.channels.size() && span_s > 0; ++i) {
        if (filled[i] < 2) continue;
        log.channels[i].readings_per_s = static_cast<double>(filled[i] - 1) / span_s;
        log.port.silence_s = std::max(log.port.silence_s, readings_missed / log.channels[i].readings_per_s);
    }
    count_from_the_first(log.channels, began_at);
    log.port.name = "log";
    log.port.format = "log-csv";
    log.port.start = Start::boundary;
    return log;
}

void CsvLog::for_each_event(const std::function<void(const Event&)>& sink) const {
    LogEvents events(sink);
    events.add(0, OperatorDid{Act::begin, {}});
    What what = BytesArrived{0, {}};
    std::string& bytes = std::get<BytesArrived>(what).bytes;
    for (const Row& row : rows) {
        bytes.assign(text, row.from, row.past - row.from);
        if (!bytes.ends_with('\n')) bytes += '\n';
        events.add(row.at, what);
    }
    events.add(events.newest(), OperatorDid{Act::end, {}});
}

std::vector<Event> CsvLog::events() const {
    std::vector<Event> all;
    for_each_event([&](const Event& event) { all.push_back(event); });
    return all;
}

}  // namespace halfturn
