// Tolerances and radial internal clearance of radial ball bearings: ISO 492:2014 and ISO 5753-1:2009.
//   bearing_tolerance(BearingDimension::outer_diameter, "Normal", 28) -> lower -9, upper 0 um
//   radial_clearance("CN", 17) -> 3 to 18 um
// Method: tables of the standards. Valid: bore 2.5 < d <= 120 mm, outside diameter 6 < D <= 150 mm, clearance for bores
// 6 < d <= 50 mm. Error: none, integers. Class 6 of the outer ring is from memory; all else was read in published tables.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "fit/provenance.hpp"

namespace halfturn::fit {

// Mean bore diameter deviation, mean outside diameter deviation, width deviation (which goes by the bore).
enum class BearingDimension { bore, outer_diameter, width };

struct BearingLimits {
    double over_mm = 0;
    double including_mm = 0;
    double lower_um = 0;
    double upper_um = 0;
    Source source;
};

// Tolerance class "Normal" (also "0", "P0"), "6" ("P6"), "5" ("P5"). For the width `nominal_mm` is the bore,
// as in the standard. Throws BadInput for an unknown class or a size outside the table.
BearingLimits bearing_tolerance(BearingDimension dimension, std::string_view tolerance_class,
                                double nominal_mm);

// Radial internal clearance before mounting, group "C2", "CN" (also "C0", "Normal"), "C3", "C4". Same errors.
BearingLimits radial_clearance(std::string_view group, double bore_mm);

std::vector<std::string> bearing_tolerance_classes();
std::vector<std::string> clearance_groups();

}  // namespace halfturn::fit
