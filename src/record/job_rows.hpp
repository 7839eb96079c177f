// Jobs whose numbers are known already, as a search gives them.
#pragma once

#include <cstdint>
#include <vector>

#include "record/reader.hpp"

namespace halfturn::record {

// These jobs in this order; a number that no job has is left out.
std::vector<JobRow> read_jobs(Store& store, const std::vector<std::int64_t>& numbers);

}  // namespace halfturn::record
