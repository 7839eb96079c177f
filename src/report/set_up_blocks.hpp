// The parts of a job's report that say what it was measured with and what it was expected to need.
#pragma once

#include <string>
#include <vector>

#include "report/job_facts.hpp"
#include "sheet/document.hpp"

namespace halfturn::report {

// "bearing out, past a spacer"
std::string work_words(const SetUp& set_up);
// "430 to 2030 N, most likely 918 N"
std::string band_words(const Band& band, int figures, const std::string& unit);

// The instruments with their certificates, and what the readings are worth by them.
void put_instruments(std::vector<sheet::Block>& blocks, const JobFacts& facts);
// The set-up as it was frozen, what its expectation rests on, and what could be judged with it.
void put_set_up(std::vector<sheet::Block>& blocks, const JobFacts& facts);

}  // namespace halfturn::report
