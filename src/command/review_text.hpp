// What `review` and `compare` print of the record, and the review pages are given: rows of a list, a job's entries, a seat's
// history.
#pragma once

#include <string>
#include <vector>

#include "core/json_writer.hpp"
#include "record/reader.hpp"
#include "review/comparison.hpp"
#include "review/search/job_index.hpp"

namespace halfturn::command {

// One job of a list, with what the index knows of it where that was asked.
void write_job_row(JsonWriter& json, const record::JobRow& job, const review::Hit* hit = nullptr);
// Keys `entries` (of the job) and `seat_entries`, `seat_jobs` (of its seat), into the object that is open.
void put_entries(JsonWriter& json, record::Store& store, const record::JobRow& job);

// A list of jobs, with how many there are in all: what the command prints and the page is given.
std::string list_text(const std::vector<review::ListedJob>& jobs, const review::Hits& hits, const std::string& store);
std::string list_json(const std::vector<review::ListedJob>& jobs, const review::Hits& hits, record::Store& store);
// The jobs most like one, for command and page alike.
struct LikeJobs {
    std::int64_t number = 0, compared = 0;
    std::vector<review::ListedJob> jobs;  // nearest first
    std::vector<double> distances;        // of the same
};
LikeJobs jobs_like(review::JobIndex& index, record::Store& store, std::int64_t number, std::size_t most);
std::string like_json(const LikeJobs& like);
std::string like_text(const LikeJobs& like);

std::string compared_json(const review::Comparison& comparison, const std::vector<record::JobRow>& jobs);

// The index holds all there is, with `findings` also what the curves say; tells on standard error when that takes a while.
void make_ready(review::JobIndex& index, record::Store& store, bool findings);

std::string entries_text(record::Store& store, const record::JobRow& job);
// The seat's jobs and what was found at it; nothing when there is no more than the job `but`.
std::string seat_text(record::Store& store, const std::string& item, const std::string& seat, std::int64_t but);

}  // namespace halfturn::command
