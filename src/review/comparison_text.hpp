// A comparison as JSON for programs and the page, and as text for the terminal.
#pragma once

#include <string>

#include "core/json_writer.hpp"
#include "review/comparison.hpp"

namespace halfturn::review {

// Keys "align", "turns" and "jobs" of the object that is open; null where a job has no curve.
void write_comparison(JsonWriter& json, const Comparison& comparison);

// At most 80 columns: one sentence for each job, and along the turns the first job with the others beside it, three to a table.
std::string comparison_text(const Comparison& comparison);

}  // namespace halfturn::review
