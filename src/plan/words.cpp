#include "plan/words.hpp"

#include <cmath>

#include "core/number_text.hpp"

namespace halfturn::plan {

std::string newtons(double value) {
    return std::abs(value) >= 1000 ? figures_text(value / 1000, 3) + " kN" : fixed_text(value, 0) + " N";
}

std::string mm(double value) { return number_text(std::round(value * 100) / 100) + " mm"; }

std::string newton_metres(double value) { return number_text(std::round(value * 100) / 100) + " Nm"; }

std::string percent(double share) { return fixed_text(100 * share, 0) + " %"; }

}  // namespace halfturn::plan
