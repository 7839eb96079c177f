// Small helpers for writing documents: a table of facts that is filled line by line, and the words every paper ends with.
#pragma once

#include <string>
#include <vector>

#include "sheet/document.hpp"

namespace halfturn::report {

// Two columns, what and which; lines without a value are left out.
class Facts {
public:
    explicit Facts(double left_share = 0.3)
        : table_{{{"", sheet::Align::left, left_share}, {"", sheet::Align::left, 1 - left_share}}, {}} {}
    Facts& add(const std::string& what, const std::string& value) {
        if (!value.empty()) table_.rows.push_back({what, value});
        return *this;
    }
    // The same, but says so when there is none.
    Facts& need(const std::string& what, const std::string& value) { return add(what, value.empty() ? "not stated" : value); }
    void put(std::vector<sheet::Block>& blocks) {
        if (!table_.rows.empty()) blocks.push_back({table_});
        table_.rows.clear();
    }

private:
    sheet::Table table_;
};

// What stands in the chain and how to check it. `of`: "certificate", "job".
void put_check(std::vector<sheet::Block>& blocks, Facts facts, const std::string& head, const std::string& how_else);

void put_heading(std::vector<sheet::Block>& blocks, const std::string& text);
void put_text(std::vector<sheet::Block>& blocks, const std::string& text, sheet::Paragraph::Kind kind = sheet::Paragraph::Kind::plain);
void put_list(std::vector<sheet::Block>& blocks, const std::vector<std::string>& items);

// "1.2346e-09" with so many figures, or plain where that is as short.
std::string short_number(double value, int figures);

std::string with_unit(const std::string& number, const std::string& unit);  // "12 N"

}  // namespace halfturn::report
