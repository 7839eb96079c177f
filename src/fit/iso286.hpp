// ISO 286-1:2010 limits and fits: standard tolerance grades and limit deviations of holes and shafts.
//   limits("N7", 28.0) -> lower -28, upper -7 um
// Method: every cell is built from the standard's tables of fundamental deviations (Tables 2 to 5) and standard
// tolerances (Table 1), with the delta rule for holes K to R. Valid for nominal sizes over 6 up to and including 120 mm,
// grades IT5 to IT9; holes G H J JS K M N P R, shafts g h j js k m n p r (J: 6 to 8, j: 5 to 7, K: 5 to 8, k: 5 to 9).
// Error: none, the cells are integers and half integers (JS and js are not rounded). Checked against cells that agree in
// three or more published tables, tests/fit/iso286_limits.csv.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "fit/provenance.hpp"

namespace halfturn::fit {

enum class Feature { hole, shaft };

struct LimitDeviations {
    std::string name;  // "N7"
    Feature feature = Feature::hole;
    double over_mm = 0;  // the range of nominal sizes the cell belongs to
    double including_mm = 0;
    double lower_um = 0;
    double upper_um = 0;
    Source source;
};

// Limit deviations of a tolerance class at a nominal size. Capital letters are holes, small letters shafts.
// Throws BadInput for an unknown class (naming the nearest valid one) or a size outside 6 < D <= 120 mm.
LimitDeviations limits(std::string_view tolerance_class, double nominal_mm);
LimitDeviations limits(Feature feature, std::string_view tolerance_class, double nominal_mm);

// Width of the standard tolerance grade IT5 to IT9, in um. Same errors.
double standard_tolerance_um(int grade, double nominal_mm);

// All classes this room knows, for messages and completion.
std::vector<std::string> hole_classes();
std::vector<std::string> shaft_classes();

}  // namespace halfturn::fit
