// How sure a finding is, in words.
#pragma once

#include <optional>
#include <string>

#include "review/finding.hpp"

namespace halfturn::review {

// "said of 1.5 % of 200 simulated jobs without it; missed in 3 % of 40 with it"
std::string rates_words(const std::optional<Rates>& rates);

}  // namespace halfturn::review
