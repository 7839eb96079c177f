// Jobs that belong together, one seat after the other: which one is next, and its form filled in as far as it is known.
//   if (const auto next = next_form_of_set(form, done)) …
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "files/json_value.hpp"

namespace halfturn::screen {

constexpr std::string_view seats_key = "seats";  // of the form; a job itself has one seat

// One place in the order of a set: "upper" on the form's own item, or "castor fork 18 / upper".
struct SetSeat {
    std::string item, seat;
    bool operator==(const SetSeat&) const = default;
};
// The form's "seats", separated by commas, in their order; empty when there are none.
std::vector<SetSeat> seats_in_order(const JsonValue& form);

// The form for the first seat in the order that is not among those done, as JSON; nothing when all are done or no order was
// given. It is the old form but for what belongs to one seat alone: sizes measured there are emptied, and "past a spacer" is
// unknown again, since the spacer may be out by now.
std::optional<std::string> next_form_of_set(const JsonValue& form, const std::vector<SetSeat>& done);

}  // namespace halfturn::screen
