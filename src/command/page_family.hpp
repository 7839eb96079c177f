// What earlier jobs of the same kind say of the one whose form is being filled in on the page: how many there are, and the force
// expected before and with them.
//   server.answer("family", [&](const screen::Question& question) { return family_answer(question, "rig.toml", store, 1); });
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include "curve/family.hpp"
#include "files/job_file.hpp"
#include "files/json_value.hpp"
#include "screen/server.hpp"

namespace halfturn::command {

// Whether the form lets them; where it says nothing, as the bench was started.
bool lets_family_narrow(const JsonValue& form, bool usual);

// The store's earlier jobs of the family; none on a bench's first day, when there is no store yet.
curve::FamilyJobs family_so_far(const JobFile& job, const std::string& store_path, bool practice);

// Told a form: {"name":"61902 in …","jobs":7,"used":5,"left_out":[{"number","because"}],"prior":{"low","mid","high"},"posterior":…},
// the bands in N. Throws BadInput with what to mend in the form.
screen::Answer family_answer(const screen::Question& question, const std::string& rig_file, const std::string& store_path,
                             std::uint64_t seed);

}  // namespace halfturn::command
