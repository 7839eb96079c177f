// The units that instruments print, and what they are worth in the tool's own units (mm, N, turns).
#pragma once

#include <cstdint>
#include <optional>
#include <string_view>

namespace halfturn {

enum class Unit : std::uint8_t {
    none,  // the wire has no unit and none was set
    mm, in, um,
    N, kN, kgf, gf, lbf, ozf,
    kg, g, lb, pcs,
    counts, rpm, deg,
    turns,
};

enum class Quantity : std::uint8_t { none, length, force, mass, count, counts, speed, angle };

std::string_view unit_name(Unit unit);               // "mm"; none gives "cfg", the contracts' word for it
std::optional<Unit> unit_from_name(std::string_view name);  // exact spelling of the contracts ("mm", "kgf", …)
// As instruments spell it: any case, blanks around, and the usual other spellings ("KG", "lbF", "inch", "PC", "lbs").
std::optional<Unit> unit_from_wire(std::string_view text);
Quantity quantity_of(Unit unit);
std::string_view quantity_name(Quantity quantity);   // "length", the `q` of decode's output

// Factor to mm for lengths and to N for forces (BIPM SI brochure and NIST SP 811: 1 in = 25.4 mm, 1 kgf = 9.80665 N,
// 1 lbf = 4.4482216152605 N, all exact). Masses, counts, speeds and angles give nothing: a mass becomes a force only
// when the rig file says so.
std::optional<double> factor_to_base(Unit unit);

// kg, g, lb to N by standard gravity, 9.80665 m/s2 (exact), for rigs that say their indicator's mass stands for force.
std::optional<double> mass_to_force_N(Unit unit);

}  // namespace halfturn
