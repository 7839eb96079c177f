// From job and rig files to a frozen set-up, the same way for every command that judges a job.
#pragma once

#include <cstdint>
#include <string>

#include "curve/frozen_set_up.hpp"
#include "files/job_file.hpp"
#include "files/rig_file.hpp"

namespace halfturn::command {

// Certificates that the rig names are looked up in the store; what is not in order becomes a mark of the set-up.
// Throws BadInput for files that can't be used.
curve::Frozen frozen_set_up(const JobFile& job, RigFile rig, const std::string& store_path, std::uint64_t seed);

// The store a command uses: --store, or the usual one.
std::string store_or_usual(const std::string& given);

}  // namespace halfturn::command
