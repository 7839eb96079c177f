#include "command/planned.hpp"

#include "curve/frozen_set_up.hpp"
#include "watch/verdict.hpp"

namespace halfturn::command {

Planned planned(const JobFile& job, const RigFile* rig, const plan::Inventory& inventory, std::uint64_t seed) {
    Planned out{plan::make_plan(job, rig, inventory, seed), {}};
    if (rig) {
        Reach reach = what_can_be_judged(curve::freeze(job, *rig, seed).set_up);
        out.plan.can_judge = std::move(reach.can);
        out.plan.cannot_judge = std::move(reach.cannot);
    }
    out.stack = plan::stack_of(out.plan, job, rig, inventory);
    return out;
}

}  // namespace halfturn::command
