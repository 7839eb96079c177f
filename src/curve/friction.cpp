#include "curve/friction.hpp"

namespace halfturn::curve {

using fit::Basis;

Doubt break_loose_friction(Work work, Surface surface) {
    if (work == Work::out) {
        switch (surface) {
            case Surface::dry:
            case Surface::bonded:  // what the ring still rubs on once the bond is broken
                return log_range(
                    0.08, 0.28,
                    {Basis::assumed,
                     "range over NSK and NTN handbooks (0.18), DIN 7190-1 (0.07 to 0.11), practitioners (to 0.3)"});
            case Surface::oiled:
                return log_range(
                    0.05, 0.16,
                    {Basis::assumed, "range over DIN 7190-1 lubricated (0.05 to 0.08), NSK and NTN handbooks (0.18)"});
            case Surface::corroded:
                return log_range(0.15, 0.60, {Basis::assumed, "common practice, no published source"});
            case Surface::unknown:
                break;
        }
        return log_range(0.06, 0.30,
                         {Basis::assumed, "surface not known: the ranges of oiled and dry seats together"});
    }
    switch (surface) {
        case Surface::dry:
            return log_range(0.07, 0.20,
                             {Basis::assumed,
                              "range over NSK and NTN handbooks (0.12 pressing in), DIN 7190-1 sliding (0.06 to 0.11)"});
        case Surface::oiled:
        case Surface::bonded:  // the compound is still wet
            return log_range(
                0.05, 0.14,
                {Basis::assumed, "range over DIN 7190-1 lubricated (0.05 to 0.08), NSK and NTN handbooks (0.12)"});
        case Surface::corroded:
            return log_range(0.10, 0.40, {Basis::assumed, "common practice, no published source"});
        case Surface::unknown:
            break;
    }
    return log_range(0.05, 0.20,
                     {Basis::assumed, "surface not known: the ranges of oiled and dry seats together"});
}

Doubt break_loose_over_sliding(Work work) {
    if (work == Work::in) return exactly(1, {Basis::assumed, "pressing in only slides"});
    return between(1.05, 1.5, {Basis::assumed, "reported 1.1 to 1.5; hardly any drop is seen at times"});
}

Doubt bond_shear_MPa() {
    return log_range(5, 35, {Basis::from_memory, "shear strength of retaining compounds"});
}

}  // namespace halfturn::curve
