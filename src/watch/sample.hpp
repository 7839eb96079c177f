// Force and travel as known at one instant. Pairing is causal: the newest trusted value of each channel, with its age.
#pragma once

#include "core/event.hpp"

namespace halfturn {

struct Sample {
    Instant at = 0;
    bool began = false;        // judging had begun: zeroes are set and numbers count from them
    bool force_known = false, force_fresh = false;     // fresh: this instant brought the value
    bool screw_known = false, screw_fresh = false;     // turns of the screw
    bool ring_known = false, ring_fresh = false;
    double force_N = 0;        // above the job's zero
    double gross_N = 0;        // above the certificate's zero: limits stand on it
    double turns = 0;          // of the screw, from the job's zero
    double screw_mm = 0;       // screw travel from the caliper, when there is one
    bool screw_mm_known = false, screw_mm_fresh = false;
    double ring_mm = 0;
    double screw_late_s = 0;   // how old a turn reading may be: the instrument's gap and lag
    double screw_step_turns = 0;  // the smallest step of the turn reading; 0: not known
};

}  // namespace halfturn
