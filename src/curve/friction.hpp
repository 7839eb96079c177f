// Friction of a bearing's outer ring in its seat, by what the seat's surface is like. Ranges, because sources differ by a
// factor of two: the two values hold about 95 % of seats.
//   break_loose_friction(Work::out, Surface::dry) -> 0.08 to 0.28, middle 0.15
// Sources: makers' handbooks print 0.18 for pulling off and 0.12 for pressing in (NSK, NTN, looked up); DIN 7190-1 rows
// give 0.11/0.08 loosening/sliding for dry steel (looked up) and about 0.07 for dry cast aluminium, 0.05 to 0.08 oiled
// (from memory); practitioners report up to 0.2 to 0.3. Corroded seats: common practice, no published source.
#pragma once

#include "core/set_up.hpp"
#include "curve/doubt.hpp"
#include "files/job_file.hpp"

namespace halfturn::curve {

// Out: friction at break-loose. In: friction while driving.
Doubt break_loose_friction(Work work, Surface surface);

// Break-loose friction over sliding friction: 1.05 to 1.5 (reported 1.1 to 1.5); 1 for pressing in, which
// only slides.
Doubt break_loose_over_sliding(Work work);

// Shear strength of a bonded seat over its contact, 5 to 35 MPa (retaining compounds' data sheets, from
// memory).
Doubt bond_shear_MPa();

}  // namespace halfturn::curve
