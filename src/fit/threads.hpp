// ISO metric threads M6 to M12, coarse and fine: basic sizes (ISO 724), stress area and proof loads (ISO 898-1:2013).
//   find_thread("M8") -> pitch 1.25, d2 7.188, d3 6.466, stress area 36.6 mm2, proof load 21200 N in class 8.8
// Method: d2 = d - 0.649519 P, d3 = d - 1.226869 P, rounded to 0.001 mm as printed; As = pi/4 ((d2 + d3)/2)^2, printed to
// three figures; proof loads as the standard prints them, or As,nom times the proof stress, three figures, where it
// prints none. Error: none against the printed sizes; computed proof loads may differ from print by 1 in the third figure.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "fit/provenance.hpp"

namespace halfturn::fit {

struct ProofLoad {
    std::string property_class;  // "8.8"
    double load_N = 0;
};

struct Thread {
    std::string name;  // "M8" (coarse) or "M8x1"
    double d_mm = 0;
    double pitch_mm = 0;
    double d2_mm = 0;                  // pitch diameter
    double d3_mm = 0;                  // root diameter of the external thread
    double stress_area_mm2 = 0;        // nominal, three figures
    double stress_area_exact_mm2 = 0;  // by the formula
    std::vector<ProofLoad> proof_loads;
    Source source;
    Source proof_source;
};

// "M8", "M8x1.25" and "M8x1" (also with a capital X or a multiplication sign). Throws BadInput naming the
// nearest.
Thread find_thread(std::string_view name);

// Proof load of a property class in N; throws BadInput for a class the table has not.
double proof_load_N(const Thread& thread, std::string_view property_class);

std::vector<std::string> thread_names();
std::vector<std::string> property_classes();

}  // namespace halfturn::fit
