// Boundary dimensions (ISO 15) and basic static load ratings of single-row deep groove ball bearings, bores 10 to 30 mm.
//   find_bearing("6902") -> designation 61902, 15 x 28 x 7, C0 2240 N
// Method: tables. Series 60, 62, 63, 618 (also written 68) and 619 (69). Dimensions are standard, so all makers agree;
// static ratings are each maker's own and differ by up to 69 % on thin series: the smallest known one is given.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "fit/provenance.hpp"

namespace halfturn::fit {

struct Bearing {
    std::string designation;  // "61902"
    std::string also;         // the short form "6902", "" when there is none
    double d_mm = 0;
    double D_mm = 0;
    double B_mm = 0;
    double r_min_mm = 0;  // smallest chamfer of the outer ring's edge
    double C0_N = 0;      // smallest static rating known
    Source dimensions_source;
    Source C0_source;
};

// A bearing by designation; suffixes for seals, shields and clearance ("61902-2RS1", "6902 ZZ C3", "6002LLU")
// are skipped. Throws BadInput for an unknown one, naming the nearest.
Bearing find_bearing(std::string_view designation);

// Whether the designation's suffix says seals or shields (which need a recess in the outer ring): 2RS, RS1,
// LLU, DDU, VV, ZZ, 2Z and the like. Nothing when it does not say: a bare number often stands for a sealed
// bearing.
std::optional<bool> sealed_by_suffix(std::string_view designation);

std::vector<std::string> bearing_designations();

}  // namespace halfturn::fit
