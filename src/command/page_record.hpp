// What the page asks the record for, and gives it, at the end of a job.
#pragma once

#include <string>

#include "files/json_value.hpp"
#include "screen/server.hpp"

namespace halfturn::command {

// POST: keeps what was found at the job's seat, as screen/found_upload.hpp reads it. Answers {"entry":N,"words":"…"}.
// Throws BadInput in words for the mechanic.
screen::Answer keep_found(const std::string& store_path, const screen::Question& question);

// GET: {"set":"…","of":N,"jobs":[{number,item,seat,work,call,decision},…],"next":FORM|null}: the jobs of the form's set so far,
// oldest first, and the form of the next seat in its order. `form` is what was filled in last, or null.
screen::Answer set_so_far(const std::string& store_path, const JsonValue& form);

}  // namespace halfturn::command
