// The single checks of a plan, each with its numbers and its source. make_plan puts them together.
#pragma once

#include <optional>
#include <vector>

#include "fit/threads.hpp"
#include "plan/plan.hpp"

namespace halfturn::plan {

// What every check looks at.
struct Scene {
    const JobFile& job;
    const RigFile* rig;
    const Inventory& inventory;
    const curve::SeatFacts& facts;
    const curve::Expectation& expected;
    const PartChoice& parts;
    // The screw that will carry the load: the chosen one, else the rig's.
    std::optional<fit::Thread> thread;
    std::string property_class;
    // The highest force this job may come to: the expected one, or the limit at which the hand stops.
    double top_N = 0;
};

// Parts that are missing, the push, the support, the tilt.
std::vector<Check> part_checks(const Scene& scene);
// Limits, tension and bending, engagement, stripping, energy.
std::vector<Check> screw_checks(const Scene& scene);
// Bearing and housing: balls, yield, play, heat, bond, spacer.
std::vector<Check> seat_checks(const Scene& scene);

std::optional<Torque> torque_for(const Scene& scene);
std::vector<Check> torque_checks(const Scene& scene, const Torque& torque);

// The highest force the screw and its threads should see: proof load less a tenth, bending and stripping. 0: not known.
double screw_safe_N(const Scene& scene);

}  // namespace halfturn::plan
