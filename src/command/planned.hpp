// A job's plan with its stack, worked out the same way for the command line and for the page.
#pragma once

#include <cstdint>

#include "files/job_file.hpp"
#include "files/rig_file.hpp"
#include "plan/inventory.hpp"
#include "plan/plan.hpp"
#include "plan/stack.hpp"

namespace halfturn::command {

struct Planned {
    plan::Plan plan;
    plan::Stack stack;
};

// With a rig, also what its instruments can judge. Throws BadInput as plan::make_plan does.
Planned planned(const JobFile& job, const RigFile* rig, const plan::Inventory& inventory, std::uint64_t seed);

}  // namespace halfturn::command
