// From job and rig files to a frozen set-up, the same way for every command that judges a job.
#pragma once

#include <CLI/CLI.hpp>
#include <cstdint>
#include <string>

#include "curve/frozen_set_up.hpp"
#include "files/job_file.hpp"
#include "files/rig_file.hpp"

namespace halfturn::command {

// Certificates that the rig names are looked up in the store; what is not in order becomes a mark of the set-up.
// With a family, the expected band is narrowed by its earlier jobs, and a mark says so.
// Throws BadInput for files that can't be used.
curve::Frozen frozen_set_up(const JobFile& job, RigFile rig, const std::string& store_path, std::uint64_t seed,
                            const curve::FamilyJobs* family = nullptr);

// The option --family, in the same words everywhere.
void add_family_option(CLI::App& command, bool& family);

// The earlier jobs of this job's family in the store; none when the store was not made yet.
curve::FamilyJobs family_of(const JobFile& job, const std::string& store_path, bool practice);

// The store a command uses: --store, or the usual one.
std::string store_or_usual(const std::string& given);

}  // namespace halfturn::command
