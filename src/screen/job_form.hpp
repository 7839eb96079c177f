// What was filled in on the page, as a job file: the same text, checks and messages as for a file from an editor.
#pragma once

#include <string>
#include <string_view>

#include "files/json_value.hpp"

namespace halfturn::screen {

// `form` is a flat object of texts; empty and "unknown" mean unknown. Keys: work, access, item, seat, seats, set, who, designation,
// clearance, class, bore_mm, bore_u_um, outside_mm, outside_u_um, material, outside_diameter_mm, shape, temperature_C, surface,
// reach_mm; and family, which says how the job is set up and is no part of it. Numbers may be written with a decimal comma. Throws BadInput for another key and for what is no number.
std::string job_text_from_form(const JsonValue& form);

constexpr std::string_view family_key = "family";  // of the form: may earlier jobs narrow the expected force, "yes" or "no"

// A number as people type it, perhaps with a decimal comma. Throws BadInput that calls the field `label`.
double typed_number(const std::string& text, std::string_view label);

std::string trimmed(std::string_view text);  // without blanks at its ends

// A TOML string with its quotes.
std::string toml_quoted(std::string_view text);

}  // namespace halfturn::screen
