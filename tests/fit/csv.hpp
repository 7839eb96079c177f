// Reads the small CSV files beside these tests (RFC 4180 quoting) into rows by column name.
#pragma once

#include <fstream>
#include <map>
#include <optional>
#include <stdexcept>
#include <string>
#include <vector>

#include "core/number_text.hpp"

namespace halfturn::test {

class CsvRow {
public:
    explicit CsvRow(std::map<std::string, std::string> cells) : cells_(std::move(cells)) {}
    const std::string& text(const std::string& column) const {
        const auto found = cells_.find(column);
        if (found == cells_.end()) throw std::runtime_error("no column " + column);
        return found->second;
    }
    std::optional<double> number(const std::string& column) const { return parse_number(text(column)); }
    double must(const std::string& column) const {
        const auto value = number(column);
        if (!value) throw std::runtime_error(column + " holds no number: " + text(column));
        return *value;
    }

private:
    std::map<std::string, std::string> cells_;
};

inline std::vector<std::string> split_line(std::ifstream& in, bool& more) {
    std::vector<std::string> cells(1);
    bool quoted = false;
    more = false;
    for (int c = in.get(); c != std::char_traits<char>::eof(); c = in.get()) {
        more = true;
        if (quoted) {
            if (c != '"')
                cells.back() += static_cast<char>(c);
            else if (in.peek() == '"')
                cells.back() += static_cast<char>(in.get());
            else
                quoted = false;
        } else if (c == '"')
            quoted = true;
        else if (c == ',')
            cells.emplace_back();
        else if (c == '\n')
            return cells;
        else if (c != '\r')
            cells.back() += static_cast<char>(c);
    }
    return cells;
}

inline std::vector<CsvRow> read_csv(const std::string& name) {
    std::ifstream in(std::string(HALFTURN_TESTS_DIR) + "/fit/" + name, std::ios::binary);
    if (!in) throw std::runtime_error("can't open " + name);
    bool more = false;
    const auto header = split_line(in, more);
    std::vector<CsvRow> rows;
    for (auto cells = split_line(in, more); more; cells = split_line(in, more)) {
        std::map<std::string, std::string> row;
        for (std::size_t i = 0; i < header.size(); ++i) row[header[i]] = i < cells.size() ? cells[i] : "";
        rows.emplace_back(std::move(row));
    }
    return rows;
}

}  // namespace halfturn::test
