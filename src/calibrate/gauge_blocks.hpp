// Gauge blocks as the known lengths of a caliper: limits by grade.
#pragma once

#include <string>

namespace halfturn::calibrate {

// ISO 3650:1998 table 5: limit deviation of the length at any point from nominal, and tolerance for its
// variation.
struct GaugeBlockLimits {
    double deviation_um = 0;  // ± te
    double variation_um = 0;  // tv
};

// Grade "K", "0", "1" or "2", nominal length 0.5 to 150 mm (values to 100 mm looked up in the corresponding
// DIN 861 table, grade K's tv and all above 100 mm from memory). Throws BadInput otherwise.
GaugeBlockLimits gauge_block_limits(const std::string& grade, double length_mm);

}  // namespace halfturn::calibrate
