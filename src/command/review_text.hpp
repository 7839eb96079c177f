// What `review` prints of the record: rows of a list, a job's entries, a seat's history.
#pragma once

#include <string>
#include <vector>

#include "core/json_writer.hpp"
#include "record/reader.hpp"

namespace halfturn::command {

void write_job_row(JsonWriter& json, const record::JobRow& job);
// Keys `entries` (of the job) and `seat_entries`, `seat_jobs` (of its seat), into the object that is open.
void put_entries(JsonWriter& json, record::Store& store, const record::JobRow& job);

// One line's worth of a text that somebody else typed: no line breaks or control characters, cut or filled to the width.
std::string cell(const std::string& text, std::size_t width);

std::string list_text(const std::vector<record::JobRow>& jobs, const std::string& store);
std::string entries_text(record::Store& store, const record::JobRow& job);
// The seat's jobs and what was found at it; nothing when there is no more than the job `but`.
std::string seat_text(record::Store& store, const std::string& item, const std::string& seat, std::int64_t but);

}  // namespace halfturn::command
