// How often each finding is right, over simulated jobs: the practice rig in virtual time, its mechanics drawn
// anew for each job, read by several sets of instruments.
#pragma once

#include <cstdint>
#include <map>
#include <string>
#include <vector>

#include "review/finding.hpp"

namespace halfturn::test {

struct SimulatedKind {
    const char* scenario;
    const char* finding;  // the one it should lead to
};
const std::vector<SimulatedKind>& simulated_kinds();

struct SimulatedRig {
    const char* name;
    double force_per_s, force_noise_N;
    bool counter;
    double stiffness_is;  // the press's true stiffness over the one in the rig file
};
const std::vector<SimulatedRig>& simulated_rigs();

using RateTable = std::map<std::string, review::Rates>;
// For each kind and rig, `seeds` jobs from `first_seed` on. `missed_jobs`, when given, lists each miss and
// false alarm.
RateTable measure_rates(const std::vector<SimulatedKind>& kinds, const std::vector<SimulatedRig>& rigs,
                        std::uint64_t first_seed, int seeds, std::vector<std::string>* wrong = nullptr);
std::string rate_csv(const RateTable& rates);

}  // namespace halfturn::test
