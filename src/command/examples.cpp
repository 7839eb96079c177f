#include "command/examples.hpp"

namespace halfturn::command {
namespace {

constexpr std::string_view job = R"toml(# A press job: one bearing, out or in. Change what differs; "unknown" is allowed wherever you may not know.
# `halfturn expect FILE` says what it should need, `halfturn watch FILE --rig RIG` watches it.

work = "out"                    # "out" or "in"
access = "through"              # how the drift gets at it: "through" (straight) "past-spacer" (the first of a pair), or "unknown"
item = "castor fork 17"         # the piece, so that its earlier jobs are found again
seat = "upper"                  # which bore in it
set = "castor fork 17, spring service"  # jobs that belong together
who = "Kim"

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
# passage_mm = 25.5             # straight through: the narrowest bore it has to pass

# What follows is for `halfturn plan`; leave out what you don't know.
[ground]                        # the face round the seat that a support may lean on
# inner_diameter_mm = 28.5
# outer_diameter_mm = 39
# flatness_mm = 0.02            # out of flat or square, over that face

# [[keep_off]]                  # what on that face nothing may lean on
# what = "retaining ring"
# inner_diameter_mm = 28
# outer_diameter_mm = 31

# [spacer]                      # between the inner rings of a pair
# length_mm = 40
# shoulders_mm = 40             # distance between the seats' shoulders
# bore_mm = 15.2
# moves_mm = 1.5                # how far it can be pushed aside
)toml";

constexpr std::string_view job_in = R"toml(# Pressing a bearing in. See `halfturn example job` for what each line means.

work = "in"
access = "through"
item = "castor fork 17"
seat = "upper"
set = "castor fork 17, spring service"
who = "Kim"

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
# eccentric_calibration = "…"   # the certificate's id, once `halfturn calibrate eccentric` has made one
# eccentric_load_calibrated = true  # or, without one: its error under a load beside its axis is known and small
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

constexpr std::string_view inventory = R"toml(# The parts a bench owns, for `halfturn plan JOB --inventory FILE`. Measure each once; repeat a table for each part.

name = "bench 2, second drawer"
thread_friction = "unknown"     # of the greased screw in its nut, when it has been measured

[[drift]]
name = "drift 14.8 with reach"
diameter_mm = 14.8              # passes the bearing's bore…
reach_mm = 8.8                  # …and then stands aside: its far edge at this radius from the axis
height_mm = 10                  # takes this much of the screw
yield_MPa = 600

[[drift]]
name = "disc 18"
diameter_mm = 18                # no reach: a straight one, for when the way is free
height_mm = 10

[[drift]]
name = "disc 27.5"              # for pressing in: pushes on the outer ring
diameter_mm = 27.5
height_mm = 12

[[plug]]
name = "plug 14.95"             # fills the bore, so that the screw runs in its middle
diameter_mm = 14.95
hole_mm = 8.2

[[support]]
name = "cup 30/44"
inner_diameter_mm = 30          # the bearing must come out through it
outer_diameter_mm = 44
height_mm = 20                  # free inside
squareness_mm = 0.03            # its faces out of parallel, over the outer diameter

[[screw]]
name = "M8 rod"
thread = "M8"
class = "10.9"
length_mm = 160

[[nut]]
name = "long M8 nut"
thread = "M8"
height_mm = 16
collar_mean_diameter_mm = 13    # mean diameter of the ring it turns on
# collar_friction = 0.003       # with a ball thrust bearing under it
yield_MPa = 600

# [load_cell]                   # under the nut, the screw through it: takes its height of the screw
# name = "ring 5 kN"
# height_mm = 12
# outer_diameter_mm = 32
# hole_mm = 9

[wrench]
low_Nm = 2                      # its scale
high_Nm = 25
step_Nm = 0.5
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
        {"inventory", "drifts, plugs, supports, screws, nuts and a wrench, for `halfturn plan`", inventory},
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
