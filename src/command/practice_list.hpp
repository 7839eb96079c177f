// The practice rig's jobs, asked from the program that plays them (it shares no code with the judge, so neither do we).
#pragma once

#include <string>
#include <vector>

namespace halfturn::command {

struct PracticeJob {
    std::string name, what, work;  // work: "out" or "in"
};

// Empty when halfturn-practice is not beside this program.
std::vector<PracticeJob> practice_jobs();

// Throws BadInput when there is none of that name.
const PracticeJob& find_practice_job(const std::vector<PracticeJob>& jobs, const std::string& name);

}  // namespace halfturn::command
