// A TOML table read strictly: every key must be known, of the right kind and in range, or the error names file, line,
// key, what was expected and the nearest valid key. toml++ stays behind this wall (it costs seconds a file to compile).
//
//   const CheckedTable job = CheckedTable::from_file("wheel.toml");
//   const std::string work = job.choice("work", {"out", "in"});
//   const auto bore_mm = job.table("seat_fit").number_or_unknown("bore_mm", 1, 500);
//   job.refuse_unknown_keys();   // after all keys were asked for: whatever was never asked for is a mistake
#pragma once

#include <cstdint>
#include <initializer_list>
#include <memory>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/nearest_word.hpp"

namespace halfturn {

class CheckedTable {
public:
    // Throws BadInput: file missing or unreadable, not TOML, larger than 4 MiB.
    static CheckedTable from_file(const std::string& path);
    static CheckedTable from_text(std::string_view text, const std::string& name_for_errors);

    // ---- what is there -------------------------------------------------------------------------------------------
    bool has(std::string_view key) const;
    bool is_unknown(std::string_view key) const;  // the key holds the text "unknown"
    std::vector<std::string> keys() const;

    // ---- required: a missing key is an error ---------------------------------------------------------------------
    std::string text(std::string_view key) const;
    double number(std::string_view key, double low, double high) const;  // both ends allowed
    std::string choice(std::string_view key, std::initializer_list<std::string_view> allowed) const;

    // ---- optional: a missing key gives nothing -------------------------------------------------------------------
    std::optional<std::string> text_if(std::string_view key) const;
    std::optional<double> number_if(std::string_view key, double low, double high) const;
    std::optional<std::int64_t> integer_if(std::string_view key, std::int64_t low, std::int64_t high) const;
    std::optional<bool> boolean_if(std::string_view key) const;
    std::optional<std::string> choice_if(std::string_view key, std::initializer_list<std::string_view> allowed) const;
    std::vector<double> numbers_if(std::string_view key) const;
    std::vector<std::string> texts_if(std::string_view key) const;
    // A number, or the text "unknown", or no key at all; the last two give nothing.
    std::optional<double> number_or_unknown(std::string_view key, double low, double high) const;

    // ---- tables inside -------------------------------------------------------------------------------------------
    CheckedTable table(std::string_view key) const;  // an empty table when missing (has() tells)
    std::vector<CheckedTable> tables(std::string_view key) const;  // [[key]]; empty when missing
    // Any scalar as text, for options passed through to a format (numbers in shortest form, true/false).
    std::string scalar_as_text(std::string_view key) const;

    // Throws for the first key, here and in every table asked for, that nobody asked about.
    void refuse_unknown_keys() const;

    // A BadInput that names file, line and key: throw table.error("pitch_mm", "must be …").
    [[nodiscard]] class BadInput error(std::string_view key, const std::string& what) const;

    struct Node;  // toml++ inside checked_table.cpp
private:
    explicit CheckedTable(std::shared_ptr<Node> node) : node_(std::move(node)) {}
    std::shared_ptr<Node> node_;
};

}  // namespace halfturn
