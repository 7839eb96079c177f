// Elastic constants, expansion and yield of the metals hubs, rings and shafts are made of, at room temperature.
//   find_material("6061-T6") -> E 68.9 GPa, nu 0.33, alpha 23.6e-6 /K, yield 255 to 276 MPa
// Method: handbook values; where handbooks differ, E, nu and alpha are the most common value with the spread as doubt,
// and yield is a range. Doubt: E 2 to 4 %, nu 0.02, alpha 3 %.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "fit/provenance.hpp"

namespace halfturn::fit {

inline constexpr double MPa_per_GPa = 1000;

struct Material {
    std::string name;
    double E_GPa = 0;
    double E_u_GPa = 0;  // standard uncertainty: what handbooks differ by
    double nu = 0;
    double alpha_per_K = 0;
    double yield_low_MPa = 0;  // 0 when yield is no useful limit (hardened ring steel)
    double yield_high_MPa = 0;
    Source source;
};

// By name, letter case and spaces aside; common short names ("aluminium", "steel", "titanium", "magnesium")
// stand for the usual alloy. Throws BadInput naming the nearest, and for materials without isotropic
// constants (CFRP).
Material find_material(std::string_view name);

// The steel of bearing rings, 100Cr6.
Material ring_steel();

std::vector<std::string> material_names();

}  // namespace halfturn::fit
