// A job's frozen set-up from its files: the expectation as plain numbers, the rig's ports and channels, and the files
// themselves. What a running or a stored job is judged by.
#pragma once

#include <cstdint>

#include "core/set_up.hpp"
#include "curve/expectation.hpp"
#include "files/job_file.hpp"
#include "files/rig_file.hpp"

namespace halfturn::curve {

struct Frozen {
    SetUp set_up;
    Expectation expectation;
    SeatFacts facts;
};

// Throws BadInput when the files contradict themselves or the tables. Pure for its inputs and seed.
// family: earlier jobs to learn from; what they made of the band is frozen as numbers, and marked.
Frozen freeze(const JobFile& job, const RigFile& rig, std::uint64_t seed, const FamilyJobs* family = nullptr);

}  // namespace halfturn::curve
