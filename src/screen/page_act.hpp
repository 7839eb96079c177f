// What a page asks for, as one JSON text: {"key":"…","act":"zero"}, with "text" or "form" where the act needs one.
// Reading it is strict; whoever sends anything else is not a page of ours.
#pragma once

#include <optional>
#include <string>
#include <string_view>

#include "files/json_value.hpp"

namespace halfturn::screen {

struct PageAct {
    std::string act;      // one of page_acts
    std::string text;     // of a note, a skipped step, a practice job's name or what a reference reads
    JsonValue form;       // of a start or a calibration: what was filled in
};

// zero, begin, acknowledge, silence, flat, note, skipped, end: for the job that runs.
// hold, skip, reference, end, next: for the calibration series that runs.
// start, practice, calibrate, next: for a bench without either.
bool is_page_act(std::string_view act);

constexpr std::size_t longest_page_act_bytes = 16 * 1024;
constexpr std::size_t longest_page_text_bytes = 2000;

// Nothing when the text is no act, when its key is not `key`, or when a text in it is too long.
std::optional<PageAct> read_page_act(std::string_view json, std::string_view key);

// Compares without telling by its duration where two keys differ.
bool same_key(std::string_view a, std::string_view b);

}  // namespace halfturn::screen
