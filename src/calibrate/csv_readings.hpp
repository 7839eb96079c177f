// A table of typed or logged calibration readings: `# key = value` lines, one line of column names, then
// numbers. Read strictly: an empty, missing or unreadable cell is an error that names file, line and column,
// never a skip.
#pragma once

#include <cstddef>
#include <functional>
#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

#include "core/failure.hpp"

namespace halfturn::calibrate {

//   const CsvReadings table = CsvReadings::from_file("line.csv");
//   const std::vector<double> x = table.numbers("x");
class CsvReadings {
public:
    // RFC 4180 with comma separators and decimal points; a byte-order mark, any line ends, blank lines, blanks
    // around cells and a spreadsheet's empty cells at a line's end are accepted; `# key = value` may stand on
    // any line, other lines beginning with # are remarks. Throws BadInput: unreadable or over 16 MiB, UTF-16,
    // other separators, no column names, no rows, a name twice, a row with too few or too many cells, a quote
    // that never ends.
    static CsvReadings from_file(const std::string& path);
    static CsvReadings from_text(std::string_view text, const std::string& name_for_errors);

    std::size_t rows() const { return rows_.size(); }
    const std::vector<std::string>& names() const { return names_; }  // of the columns
    std::vector<std::pair<std::string, std::string>> notes() const;   // key and value, as they stand
    // Throws BadInput for a name that only looks like it ("U_y", "uy" for u_y), which would be left out unseen.
    bool has(std::string_view column) const;

    // A whole column. Throws BadInput when the column is missing (with the nearest name) or a cell is no
    // finite number, or one of a size (1e60, 1e-60) whose squares no double holds.
    std::vector<double> numbers(std::string_view column) const;
    std::vector<double> numbers_if(std::string_view column) const;  // empty when there is no such column
    std::vector<std::string> texts(std::string_view column) const;

    // A `# key = value` number. Throws BadInput when missing, no number, outside [low, high], or when another key only looks like it.
    double note(std::string_view key, double low, double high) const;
    std::optional<double> note_if(std::string_view key, double low, double high) const;
    std::optional<std::string> text_note_if(std::string_view key) const;

    // BadInput that names the file and the line of a row (counted from 0 among the rows), or the file alone.
    [[nodiscard]] BadInput error_in_row(std::size_t row, const std::string& what) const;
    [[nodiscard]] BadInput error(const std::string& what) const;

private:
    struct Row {
        std::size_t line;
        std::vector<std::string> cells;
    };
    struct Note {
        std::size_t line;
        std::string key, value;
    };
    std::size_t column(std::string_view name) const;
    const Note* find_note(std::string_view key) const;

    std::string file_;
    std::size_t header_line_ = 0;
    std::vector<std::string> names_;
    std::vector<Row> rows_;
    std::vector<Note> notes_;
    mutable std::set<std::string, std::less<>> wanted_;  // columns that were asked for, so not likely meant as another
};

}  // namespace halfturn::calibrate
