// The set-up card: one page to lay beside the press, printable in grey.
//   const sheet::Document card = set_up_card(plan, job, stack, sheet::Paper::a4);
#pragma once

#include "plan/stack.hpp"
#include "sheet/document.hpp"

namespace halfturn::plan {

sheet::Document set_up_card(const Plan& plan, const JobFile& job, const Stack& stack, sheet::Paper paper);

}  // namespace halfturn::plan
