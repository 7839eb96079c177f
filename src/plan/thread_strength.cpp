#include "plan/thread_strength.hpp"

#include <numbers>

namespace halfturn::plan {

using std::numbers::inv_sqrt3;
using std::numbers::pi;

Stripping stripping(const fit::Thread& thread, double engaged, double screw_yield, double nut_yield) {
    const double minor = thread.d_mm - 1.082532 * thread.pitch_mm;  // ISO 724: D1
    const double turns = engaged / thread.pitch_mm;
    Stripping out;
    out.screw_area_mm2 = pi * minor * turns * (thread.pitch_mm / 2 + (thread.d2_mm - minor) * inv_sqrt3);
    out.nut_area_mm2 = pi * thread.d_mm * turns * (thread.pitch_mm / 2 + (thread.d_mm - thread.d2_mm) * inv_sqrt3);
    out.screw_N = out.screw_area_mm2 * screw_yield * inv_sqrt3;
    out.nut_N = out.nut_area_mm2 * nut_yield * inv_sqrt3;
    return out;
}

}  // namespace halfturn::plan
