// A judged job as the contracts' JSON.
#pragma once

#include <string>

#include "core/json_writer.hpp"
#include "watch/verdict.hpp"

namespace halfturn {

// `job` is the job's id, or empty when it was not kept. Writes one object.
void write_judgement(JsonWriter& json, const Judgement& judgement, const SetUp& set_up, const std::string& job);
std::string judgement_json(const Judgement& judgement, const SetUp& set_up, const std::string& job, int indent = 0);

// {"break_loose_N":{…},"curve":[…]}
void write_expected(JsonWriter& json, const SetUp& set_up);

}  // namespace halfturn
