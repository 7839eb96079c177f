#include "command/examples.hpp"

namespace halfturn::command {
namespace {

constexpr std::string_view job = R"toml(# A press job: one bearing, out or in. Change what differs; "unknown" is allowed wherever you may not know.
# `halfturn expect FILE` says what it should need, `halfturn watch FILE --rig RIG` watches it.

work = "out"                    # "out" or "in"
access = "through"              # how the drift gets at it: "through" (straight) or "past-spacer" (the first of a pair)
item = "castor fork 17"         # the piece, so that its earlier jobs are found again
seat = "upper"                  # which bore in it
set = "castor fork 17, spring service"  # jobs that belong together
who = "bench 2"

[bearing]
designation = "61902-2RS"       # or give d_mm, D_mm and B_mm
# sealed = true
# clearance = "CN"

[seat_fit]
bore_mm = 27.978                # measured; or only  class = "N7"  from the drawing, or neither
bore_u_um = 2                   # standard uncertainty of that measurement
outside_mm = 27.998             # the outer ring, measured
outside_u_um = 1.5

[housing]
material = "6061-T6"
outside_diameter_mm = 40
shape = "flush"                 # flush, bore-goes-on, shoulder-behind, long-tube, flange-behind, flange-over-seat, unknown

[condition]
surface = "dry"                 # dry, oiled, bonded, corroded, unknown

[drift]
# reach_mm = 8.5                # past a spacer: the radius at which it pushes
)toml";

constexpr std::string_view job_in = R"toml(# Pressing a bearing in. See `halfturn example job` for what each line means.

work = "in"
access = "through"
item = "castor fork 17"
seat = "upper"
set = "castor fork 17, spring service"
who = "bench 2"

[bearing]
designation = "61902-2RS"

[seat_fit]
bore_mm = 27.978
bore_u_um = 2
outside_mm = 27.998
outside_u_um = 1.5

[housing]
material = "6061-T6"
outside_diameter_mm = 40
shape = "flush"

[condition]
surface = "dry"
)toml";

constexpr std::string_view rig = R"toml(# A rig: the press, its screw, the instruments on it and what each measures. One instrument is enough to start with:
# delete the others, and `halfturn watch` says what can and can't be judged without them.

name = "bench 2"

[screw]
thread = "M8"                   # gives the pitch, 1.25 mm; for another screw give pitch_mm
class = "8.8"
free_length_mm = 120

[press]
stiffness_N_per_mm = 20000      # screw, frame and drift together, from a blocked pull; or "unknown"
stiffness_u = 2500              # its standard uncertainty
force_limit_N = 5000            # never beyond this: the weakest part's rated load
lead_s = 0.7                    # a person needs this long to stop

# Ports: `halfturn instruments` lists what is plugged in. Use the by-id names; they stay the same.
[[port]]
name = "force"
device = "/dev/serial/by-id/usb-force-indicator"
format = "hdr-comma"            # a weighing indicator's lines: ST,GS,+00812.5 N
baud = 38400

[[port]]
name = "caliper"
device = "/dev/serial/by-id/usb-caliper-bridge"
format = "value-unit"           # lines such as 12.34 mm
baud = 115200

[[port]]
name = "counter"
device = "/dev/serial/by-id/usb-turn-counter"
format = "axis-semi"            # X1234;

[[channel]]
port = "force"
measures = "force"
unit = "N"                      # what the indicator must say; a kg indicator needs  unit = "kg", mass_as_force = true
capacity = 5000
least_count = 0.5
readings_per_s = 80
# calibration = "…"             # the certificate's id, once `halfturn calibrate` has made one

[[channel]]
port = "caliper"
measures = "screw-travel"       # of the screw, not of the ring; sign = -1 if it counts down while you pull
unit = "mm"
least_count = 0.01
readings_per_s = 10

[[channel]]
port = "counter"
measures = "turns"
index = "X"
counts_per_turn = 1200
readings_per_s = 24
)toml";

constexpr std::string_view fit = R"toml(# An interference fit, for `halfturn fit FILE`. Two plain tubes; give one of interference_diametral_um,
# interference_radial_um or pressure_MPa.

inner_bore_mm = 25.4            # 0 for a solid shaft
interface_mm = 28
outer_mm = 40
inner_E_GPa = 208
inner_nu = 0.30
outer_E_GPa = 68.9
outer_nu = 0.33
interference_diametral_um = 13
length_mm = 7
friction = 0.12
outer_yield_MPa = 255
)toml";

constexpr std::string_view budget = R"toml(# An uncertainty budget, for `halfturn calibrate budget FILE`: the force that a mass hangs on a cell.

model = "m * g * (1 - ra / rm)"

[[input]]
name = "m"
value = 10.0
u = 0.0002

[[input]]
name = "g"                      # local gravity
value = 9.8073
half_width = 0.0005
distribution = "rectangular"

[[input]]
name = "ra"                     # density of air
value = 1.2
half_width = 0.05
distribution = "rectangular"

[[input]]
name = "rm"                     # density of the mass
value = 7950
u = 70

[report]
probability = 0.95
)toml";

}  // namespace

const std::vector<Example>& examples() {
    static const std::vector<Example> all = {
        {"job", "a bearing to pull, with a measured seat", job},
        {"job-in", "the same bearing, pressed in", job_in},
        {"rig", "a press with a load cell, a caliper and a turn counter", rig},
        {"fit", "an interference fit for `halfturn fit`", fit},
        {"budget", "an uncertainty budget for `halfturn calibrate budget`", budget},
    };
    return all;
}

const Example* find_example(std::string_view kind) {
    for (const Example& example : examples())
        if (example.kind == kind) return &example;
    return nullptr;
}

}  // namespace halfturn::command
