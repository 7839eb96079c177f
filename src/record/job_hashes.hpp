// What stands for a job in the chain.
#pragma once

#include <cstdint>
#include <string>

#include "record/store.hpp"

namespace halfturn::record {

// Each 64 hex digits: the hash of its last event block, and the link of its end, which covers all that was in the store until
// then. Both are empty while it runs.
struct JobHashes {
    std::string events, end_link;
};
JobHashes read_job_hashes(Store& store, std::int64_t job);

}  // namespace halfturn::record
