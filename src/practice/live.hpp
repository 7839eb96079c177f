// A practice job in real time: one pseudo-terminal per instrument, words for the hand on standard input.
// Standard output gets {"port":…,"device":…} for each port, {"ready":true}, and {"done":true} when the hand has ended.
#pragma once

#include "practice/bench.hpp"

namespace halfturn::practice {

// Reads `go`, `word turn|slower|wait|stop`, `to NEWTONS` (bring the pull there and hold) and `quit`, a line each. Ends on `quit` or when standard input closes; the
// instruments talk until then.
void run_live(Bench& bench);

}  // namespace halfturn::practice
