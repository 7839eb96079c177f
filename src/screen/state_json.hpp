// What the page knows of a job, as one JSON object per change.
#pragma once

#include <string>
#include <string_view>

#include "live/live_job.hpp"

namespace halfturn::screen {

std::string_view stage_name(live::Stage stage);

// The parts that stay the same during a job: who, what, what is expected, what can be judged. One JSON object.
std::string job_json(const SetUp& set_up, const std::string& job_id);

// {"t":"state","stage":…,"word":…,…,"job":JOB}. `message` is a remark about the last act, empty when there is none. Once
// the job has ended, `judgement` is the judged job. Numbers that may not be used are null.
std::string job_state_json(live::LiveJob& job, const std::string& job_json, const std::string& message);

// A bench without a job. `problem` says why the last start came to nothing.
std::string idle_state_json(const std::string& problem);

}  // namespace halfturn::screen
