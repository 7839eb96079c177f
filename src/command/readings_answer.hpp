// A stretch of a job's readings as a screen draws it: each channel's lowest and highest value over equal spans of time. From
// the pyramid kept beside the samples, so that hours cost no more than seconds.
//   readings_json(store, job, "from_s=12.5&to_s=14&columns=800")
#pragma once

#include <string>

#include "record/reader.hpp"

namespace halfturn::command {

// Without from_s and to_s, the whole job; columns: 1 to 4000, usually 1200. Values are those the judge used: N, mm or turns
// above the job's zero. Answers {"number":17,"whole":{"from_s","to_s"},"from_s","to_s","why_not":"","channels":[{"measures",
// "unit","columns":[[low,high]|null,…]}]}; `why_not` says why there are no channels. Throws BadInput for a query it can't read.
std::string readings_json(record::Store& store, const record::JobRow& job, const std::string& query);

}  // namespace halfturn::command
