// Scenarios for the judge as text files that anyone can add: tests/rules/<rule id>/fires-*.scenario and silent-*.scenario.
//
//     # what it shows
//     work = out                      numbers of rig and job; all have defaults
//     band_N = 430 970 2600
//     log = 50                        rows a second of a CSV log with the columns named below; or instruments on wires:
//     wire = force 80                 hdr-comma lines,  wire = caliper 10  value-unit lines,  wire = counter 24  axis-semi,
//                                     wire = ring 20  value-unit lines of a gauge on the ring
//     noise_N = 3
//     fires = past-break-loose-band<5.4 heading-for-limit     exactly these, where given not later than so many seconds
//     call = stop-and-inspect  phase = sliding  release_N = 640 760
//     columns = t_s force_N turns     then points of the curve; readings lie on straight lines between them
//     0    0    0
//     @ 3.2 zero                      something happens: zero, begin, acknowledge, flat, end, recorder-stopped,
//     @ 3.2 lost force                lost, opened; quiet PORT SECONDS; unit caliper in; offset PORT AMOUNT;
//     @ 3.2 spike force 32767         one reading instead; say PORT TEXT: these characters instead of a reading
#pragma once

#include <string>
#include <vector>

#include "watch/judge.hpp"

namespace halfturn::test {

struct Expected {
    struct Fires { std::string rule; double by_s; };
    std::vector<Fires> fires;
    std::string call, phase;
    bool releases = false, no_release = false;
    double release_low_N = 0, release_high_N = 0;
};

struct Scenario {
    std::string file;
    SetUp set_up;
    std::vector<Event> events;
    Expected expected;
};

// Throws std::runtime_error naming file and line for what can't be read.
Scenario read_scenario(const std::string& path);

}  // namespace halfturn::test
