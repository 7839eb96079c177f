// A practice job in virtual time, written as a log of JSON lines: what each port said and when, and what the operator did.
#pragma once

#include <string>
#include <utility>
#include <vector>

#include "practice/bench.hpp"

namespace halfturn::practice {

struct LogWish {
    std::vector<std::pair<double, Word>> words;  // shown to the hand at these times
    double longest_s = 600;                      // virtual time after which the job is given up
};

// Runs the job to its end. The operator sets to zero with the stack loose, begins, and ends when all is at rest.
std::string run_to_log(Bench& bench, const LogWish& wish);

}  // namespace halfturn::practice
