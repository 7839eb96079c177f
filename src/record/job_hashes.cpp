#include "record/job_hashes.hpp"

#include "core/sha256.hpp"

namespace halfturn::record {

JobHashes read_job_hashes(Store& store, std::int64_t job) {
    JobHashes hashes;
    Statement row(store.database(), "SELECT last_hash FROM jobs WHERE number = ?");
    row.bind(1, job);
    if (row.row()) hashes.events = to_hex(row.blob(0));
    Statement link(store.database(), "SELECT link FROM chain WHERE kind = 'job-ended' AND row = ? ORDER BY number DESC LIMIT 1");
    link.bind(1, job);
    if (link.row()) hashes.end_link = to_hex(link.blob(0));
    return hashes;
}

}  // namespace halfturn::record
