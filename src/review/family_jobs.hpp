// The earlier jobs from which a job may learn: those of its family, one pull a seat, with what was left out and why.
//   const curve::FamilyJobs family = family_jobs(store, job, {});   curve::freeze(job, rig, seed, &family)
#pragma once

#include "curve/family.hpp"
#include "files/job_file.hpp"
#include "record/store.hpp"

namespace halfturn::review {

struct FamilyPick {
    bool practice = false;   // practice jobs teach practice jobs, and no others
    std::size_t most = 60;   // the newest of the family that are looked at; each is judged again, some milliseconds
    std::int64_t before = 0; // only jobs with a lower number; 0: all
};

// A family is bearing, housing (material, shape, outside diameter within 3 %), seat class, surface and way (out or in).
// Left out: set aside · call stop-and-inspect or can't tell · the ring did not break loose · the force was not the fit's
// (bonded, cocked) · the set-up keeps no grip · an earlier pull of a seat that is counted by a later one · practice.
// Pure reading of the store; a job that can't be read is left out with why.
curve::FamilyJobs family_jobs(record::Store& store, const JobFile& job, const FamilyPick& pick);

}  // namespace halfturn::review
