// A comparison as JSON for programs and the page, and as text for the terminal.
#pragma once

#include <string>

#include "core/json_writer.hpp"
#include "review/comparison.hpp"

namespace halfturn::review {

// Keys "align", "turns" and "jobs" of the object that is open; null where a job has no curve.
void write_comparison(JsonWriter& json, const Comparison& comparison);

// At most 80 columns: one sentence for each job, and for up to four jobs a table along the turns.
std::string comparison_text(const Comparison& comparison);

}  // namespace halfturn::review
