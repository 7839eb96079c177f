#include "calibrate/csv_readings.hpp"

#include <algorithm>
#include <cmath>

#include "core/nearest_word.hpp"
#include "core/number_text.hpp"
#include "core/utf8.hpp"
#include "files/whole_file.hpp"

namespace halfturn::calibrate {
namespace {

// Squares and products of a few such numbers still fit a double.
constexpr double largest_number = 1e60, smallest_number = 1e-60;
constexpr std::size_t largest_file_bytes = std::size_t{16} << 20;

std::string_view trimmed(std::string_view text) {
    const auto blank = [](char c) { return c == ' ' || c == '\t' || c == '\r'; };
    while (!text.empty() && blank(text.front())) text.remove_prefix(1);
    while (!text.empty() && blank(text.back())) text.remove_suffix(1);
    return text;
}

// The cells of one line; nothing when a quote opens and never closes (or something follows the closing one).
std::optional<std::vector<std::string>> split(std::string_view line) {
    std::vector<std::string> cells;
    std::size_t at = 0;
    while (true) {
        std::size_t first = at;
        while (first < line.size() && (line[first] == ' ' || line[first] == '\t')) ++first;
        if (first < line.size() && line[first] == '"') {
            std::string cell;
            std::size_t i = first + 1;
            for (;; ++i) {
                if (i >= line.size()) return {};
                if (line[i] != '"') {
                    cell += line[i];
                } else if (i + 1 < line.size() && line[i + 1] == '"') {
                    cell += '"';
                    ++i;
                } else {
                    break;
                }
            }
            const std::size_t comma = std::min(line.find(',', i + 1), line.size());
            if (!trimmed(line.substr(i + 1, comma - i - 1)).empty()) return {};
            cells.push_back(std::move(cell));
            at = comma;
        } else {
            const std::size_t comma = std::min(line.find(',', at), line.size());
            cells.emplace_back(trimmed(line.substr(at, comma - at)));
            at = comma;
        }
        if (at >= line.size()) return cells;
        ++at;
    }
}

// A spreadsheet fills short lines up with commas; cells past `keep` that hold nothing are no readings.
void drop_empty_end(std::vector<std::string>& cells, std::size_t keep) {
    while (cells.size() > keep && cells.back().empty()) cells.pop_back();
}

// Up to the next line end (LF, CRLF or a lone CR), which is taken off too.
std::string_view take_line(std::string_view& text) {
    const std::size_t end = std::min(text.find_first_of("\r\n"), text.size());
    const std::string_view line = text.substr(0, end);
    text.remove_prefix(end);
    if (text.starts_with("\r\n")) text.remove_prefix(2);
    else if (!text.empty()) text.remove_prefix(1);
    return line;
}

// Another spelling of the same letters: "U_y", "uy" and "u y" for "u_y".
bool looks_like(std::string_view a, std::string_view b) {
    const auto letters = [](std::string_view name) {
        std::string out;
        for (const char c : name)
            if (c != '_' && c != ' ' && c != '-' && c != '.') out += c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
        return out;
    };
    return a != b && letters(a) == letters(b);
}

// reference_kN for reference_N: renamed alone it would be a thousand times off.
bool other_unit(std::string_view wanted, std::string_view found) {
    const auto stem = [](std::string_view name) { return name.substr(0, name.rfind('_')); };
    const auto unit = [](std::string_view name) { return name.rfind('_') == std::string_view::npos ? "" : name.substr(name.rfind('_') + 1); };
    constexpr std::string_view units[] = {"N", "kN", "mm", "um", "in", "m", "kg", "g", "lb", "Nm"};
    const auto known = [&](std::string_view one) { return std::find(std::begin(units), std::end(units), one) != std::end(units); };
    return stem(wanted) == stem(found) && unit(wanted) != unit(found) && known(unit(wanted)) && known(unit(found));
}

std::string quoted(std::string_view cell) { return "\"" + shown(cell).append("\""); }

}  // namespace

CsvReadings CsvReadings::from_file(const std::string& path) {
    return from_text(whole_file(path, largest_file_bytes), path);
}

CsvReadings CsvReadings::from_text(std::string_view text, const std::string& name_for_errors) {
    CsvReadings table;
    table.file_ = name_for_errors;
    if (text.starts_with("\xEF\xBB\xBF")) text.remove_prefix(3);
    const auto fail = [&](std::size_t line, const std::string& what) {
        return BadInput(name_for_errors + ":" + std::to_string(line) + ": " + what);
    };
    if (text.starts_with("\xFF\xFE") || text.starts_with("\xFE\xFF") || text.find('\0') != std::string_view::npos)
        throw BadInput(name_for_errors + ": is no UTF-8 text (it looks like UTF-16); save it again as CSV in UTF-8");
    std::size_t line_number = 0;
    while (!text.empty()) {
        const std::string_view line = trimmed(take_line(text));
        ++line_number;
        if (line.empty()) continue;
        if (line.front() == '#') {
            const std::size_t equals = line.find('=');
            if (equals == std::string_view::npos) continue;
            const std::string_view key = trimmed(line.substr(1, equals - 1));
            for (const auto& note : table.notes_)
                if (note.key == key)
                    throw fail(line_number, "# " + as_utf8(key) + " is given twice (first on line " +
                                                std::to_string(note.line) + "); keep one of them");
            std::string_view value = trimmed(line.substr(equals + 1));
            while (value.ends_with(',')) value = trimmed(value.substr(0, value.size() - 1));
            table.notes_.push_back({line_number, std::string(key), std::string(value)});
            continue;
        }
        auto cells = split(line);
        if (!cells)
            throw fail(line_number, "a quoted cell doesn't end before the next comma; check the quotes");
        drop_empty_end(*cells, table.names_.size());
        // In a table of one column, a lone comma is a reading that is missing.
        const bool nothing = std::all_of(cells->begin(), cells->end(), [](const std::string& cell) { return cell.empty(); });
        if (nothing && table.names_.size() != 1) continue;
        if (table.names_.empty()) {
            table.header_line_ = line_number;
            if (const auto other = cells->front().find_first_of(";\t"); cells->size() == 1 && other != std::string::npos)
                throw fail(line_number, std::string("the columns are separated by ") +
                                            (cells->front()[other] == ';' ? "semicolons" : "tabs") +
                                            "; separate them by commas, and write decimals with a point");
            for (std::size_t i = 0; i < cells->size(); ++i) {
                const auto& name = (*cells)[i];
                if (name.empty())
                    throw fail(line_number, "column " + std::to_string(i + 1) +
                                                " has no name; the first line names the columns");
                if (std::count(cells->begin(), cells->end(), name) > 1)
                    throw fail(line_number,
                               "the column " + quoted(name) + " is named twice; keep one of them");
            }
            table.names_ = std::move(*cells);
            continue;
        }
        if (cells->size() != table.names_.size())
            throw fail(line_number, "has " + std::to_string(cells->size()) + " cells, but line " +
                                        std::to_string(table.header_line_) + " names " +
                                        std::to_string(table.names_.size()) +
                                        " columns; a value is missing, or a decimal comma should be a point");
        table.rows_.push_back({line_number, std::move(*cells)});
    }
    if (table.names_.empty())
        throw BadInput(name_for_errors + ": holds no table; the first line must name the columns");
    if (table.rows_.empty())
        throw fail(table.header_line_, "names the columns, but no readings follow; add one line per reading");
    return table;
}

bool CsvReadings::has(std::string_view name) const {
    if (std::find(names_.begin(), names_.end(), name) != names_.end()) return true;
    for (const std::string& other : names_)
        if (looks_like(other, name))
            throw BadInput(file_ + ":" + std::to_string(header_line_) + ": the column " + quoted(other) + " looks like " +
                           std::string(name) + "; name it " + std::string(name) + " if it is that, or quite otherwise");
    return false;
}

std::size_t CsvReadings::column(std::string_view name) const {
    wanted_.emplace(name);
    const auto found = std::find(names_.begin(), names_.end(), name);
    if (found != names_.end()) return static_cast<std::size_t>(found - names_.begin());
    std::vector<std::string> others;
    for (const std::string& other : names_)
        if (!wanted_.contains(other)) others.push_back(other);
    const std::string near = nearest_word(name, others);
    throw BadInput(file_ + ":" + std::to_string(header_line_) + ": the column " + std::string(name) +
                   " is missing; " +
                   (near.empty()               ? "add it"
                    : other_unit(name, near)   ? "convert " + quoted(near) + " to that unit and name it so"
                                               : "is it the one named " + quoted(near) + "?"));
}

std::vector<double> CsvReadings::numbers(std::string_view name) const {
    const std::size_t at = column(name);
    std::vector<double> values;
    values.reserve(rows_.size());
    for (const auto& row : rows_) {
        const auto& cell = row.cells[at];
        const auto value = parse_number(cell);
        if (value && (std::fabs(*value) > largest_number || (*value != 0 && std::fabs(*value) < smallest_number)))
            throw BadInput(file_ + ":" + std::to_string(row.line) + ": " + std::string(name) + " is " +
                           quoted(cell) + ", which no instrument reads; check its exponent");
        if (!value)
            throw BadInput(file_ + ":" + std::to_string(row.line) + ": " + std::string(name) +
                           " must be a number like -12.5, but is " +
                           (cell.empty() ? "missing; take that reading again or leave the whole line out"
                                         : quoted(cell)));
        values.push_back(*value);
    }
    return values;
}

std::vector<double> CsvReadings::numbers_if(std::string_view name) const {
    return has(name) ? numbers(name) : std::vector<double>{};
}

std::vector<std::string> CsvReadings::texts(std::string_view name) const {
    const std::size_t at = column(name);
    std::vector<std::string> values;
    for (const auto& row : rows_) values.push_back(row.cells[at]);
    return values;
}

std::vector<std::pair<std::string, std::string>> CsvReadings::notes() const {
    std::vector<std::pair<std::string, std::string>> all;
    for (const auto& note : notes_) all.emplace_back(note.key, note.value);
    return all;
}

const CsvReadings::Note* CsvReadings::find_note(std::string_view key) const {
    for (const auto& note : notes_)
        if (note.key == key) return &note;
    for (const auto& note : notes_)
        if (looks_like(note.key, key))
            throw BadInput(file_ + ":" + std::to_string(note.line) + ": # " + shown(note.key) + " looks like # " +
                           std::string(key) + "; write it so");
    return nullptr;
}

std::optional<std::string> CsvReadings::text_note_if(std::string_view key) const {
    if (const Note* note = find_note(key)) return note->value;
    return {};
}

std::optional<double> CsvReadings::note_if(std::string_view key, double low, double high) const {
    if (const Note* found = find_note(key)) {
        const Note& note = *found;
        const auto value = parse_number(note.value);
        if (value && *value >= low && *value <= high) return value;
        throw BadInput(file_ + ":" + std::to_string(note.line) + ": # " + note.key +
                       " must be a number" + (note.value.find(',') == std::string::npos ? "" : " with a decimal point,") + " from " + number_text(low) + " to " + number_text(high) +
                       ", but is " + quoted(note.value));
    }
    return {};
}

double CsvReadings::note(std::string_view key, double low, double high) const {
    if (const auto value = note_if(key, low, high)) return *value;
    std::vector<std::string> keys;
    for (const auto& note : notes_) keys.push_back(note.key);
    const std::string near = nearest_word(key, keys);
    throw BadInput(file_ + ": the line \"# " + std::string(key) + " = …\" is missing; " +
                   (near.empty()            ? "add it above the table"
                    : other_unit(key, near) ? "convert " + quoted(near) + " to that unit and write it so"
                                            : "is it the one written " + quoted(near) + "?"));
}

BadInput CsvReadings::error_in_row(std::size_t row, const std::string& what) const {
    return BadInput(file_ + ":" + std::to_string(rows_.at(row).line) + ": " + what);
}

BadInput CsvReadings::error(const std::string& what) const { return BadInput(file_ + ": " + what); }

}  // namespace halfturn::calibrate
