// Numbers and lists as a plan says them.
#pragma once

#include <string>

namespace halfturn::plan {

std::string newtons(double value_N);             // "840 N", "2.31 kN"
std::string mm(double value_mm);                 // "7.25 mm": at most two decimals
std::string newton_metres(double value_Nm);       // "4.5 Nm": at most two decimals
std::string percent(double share);               // "12 %"

}  // namespace halfturn::plan
