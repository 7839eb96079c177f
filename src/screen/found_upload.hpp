// What somebody found at a seat, as the page sends it: one line of JSON, then the bytes of a photo, if there is one.
//   const FoundUpload told = read_found_upload(body);   review::add_inspection(store, job, told.who, told.found, told.photo);
#pragma once

#include <string>
#include <string_view>

#include "review/inspection.hpp"

namespace halfturn::screen {

struct FoundUpload {
    std::string job, who;       // the job's id
    review::Inspection found;   // not checked yet; add_inspection does that
    std::string_view photo;     // into what was given; empty: none
};

// The line's keys: job, who, seen[], turns_freely ("yes", "no" or empty), decision, gauge, bore_mm, bore_u_um, text; numbers as
// people type them. Throws BadInput in the page's words for anything else.
FoundUpload read_found_upload(std::string_view body);

}  // namespace halfturn::screen
