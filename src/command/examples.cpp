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

constexpr std::string_view instrument = R"toml(# An instrument that has no format of its own, described: here lines of text.
# For Modbus registers see `halfturn example instrument-registers`. Try it on bytes that were kept, or on the port:
#     halfturn decode --format described --set file=instrument.toml bytes.bin
#     halfturn instruments listen /dev/ttyUSB0 --format described --set file=instrument.toml
# and name it in the rig file; a job keeps its text, so the file may change later:
#     [[port]]
#     name = "gauge"
#     device = "/dev/serial/by-id/usb-gauge"
#     format = "described"
#     options = { file = "instrument.toml" }

title = "Gauge that answers state, value and unit"
source = "its manual, page 12"  # where you have it from
measures = "force"              # force, length or counts
unit = "N"                      # for lines that say none: mm in um N kN kgf gf lbf ozf kg g lb pcs counts rpm deg
silence_s = 1                   # longer without a reading is a fault
lag_s = 0.1                     # how late the value is

[serial]
baud = 9600
bits = 8
parity = "none"                 # none, even, odd
stop = 1

[poll]                          # leave it out when the instrument sends by itself
send = "R\r"
every_s = 0.1

[lines]
# end = "\u0003"                # the character that ends a line, when it is neither CR nor LF
decimal = "point"               # point, comma or auto
decimals = 0                    # of a value printed without a mark: with 2, 1234 is 12.34
# check_from = 1                # the first character that {check-xor} covers; the line's first is 0

# The shapes a line may have. The first that fits the whole line is taken, so write the faults first; a line that fits none
# is refused. What stands outside braces stands for itself.
#     {value} {value:6}         the number, as far as it reaches or this many characters
#     {unit} {unit:2}           its unit; names of your instrument's own go into [units]
#     {channel:1} {skip:3}      the channel · characters that mean nothing
#     { } {rest}                any number of blanks · whatever follows
#     {check-xor:1}             a check over what stands before: one byte, or :2 for two hexadecimal digits
#     {state:1}                 one of the words in [words.state]; name such tables as you like
[[form]]
pattern = "ERR{error:1}"

[[form]]
pattern = "OVER{rest}"
fault = "overload"              # the whole line means this: no number may be used

[[form]]
pattern = "READY"
info = true                     # only said; no value, no fault

[[form]]
pattern = "{state:1}{ }{value}{ }{unit}"

# What a word means: good (nothing special), plus, minus, stable, unstable, gross, net, tare, peak, live, under, go, over,
# or the code of a fault: overload, underload, overrange, saturated, sensor, no_data, busy, not_zeroed, bad_command, comm,
# device_error, device_restarted; battery_low and not_stable leave the value standing.
[words.state]
S = "stable"
M = "unstable"
O = "overload"

[words.error]
0 = "sensor"
1 = "bad_command"

[units]
K = "kgf"
)toml";

constexpr std::string_view instrument_registers = R"toml(# A transmitter that answers Modbus RTU, described by its maker's register table.
# For one that sends lines of text, and for how to try and use a description, see `halfturn example instrument`.
# Always try it with a known weight.

title = "Transmitter with value, decimals and status"
source = "its register table"
measures = "force"
unit = "kg"
silence_s = 1
lag_s = 0.1

[serial]
baud = 9600
parity = "none"

[poll]
every_s = 0.05

[modbus]                        # one request reads value and status together
slave = 1
function = 3                    # 3: holding registers (tables call them 4xxxx), 4: input registers (3xxxx)
address = 83                    # as it goes over the line, from 0: a table that counts from 1 says 40084
registers = 4                   # how many from there

[[value]]                       # repeat it for a second value, with  channel = "2"
register = 0                    # counted from the first that is read
type = "int32"                  # int16, uint16, int32, uint32, float32
order = "cdab"                  # of the four bytes: abcd, cdab, badc, dcba; a known weight tells. Not for int16 and uint16
decimals = 0                    # with 2, 1234 is 12.34 …
decimals_register = 2           # … or where the transmitter tells it,
decimals_mask = 0x0007          # in these bits
sign_register = 3               # where a flag makes the value negative,
sign_mask = 0x0080              # this bit

[[status]]                      # what a status bit means: words as in `halfturn example instrument`
register = 3
mask = 0x0001                   # any of these bits is set …
means = "overload"

[[status]]
register = 3
mask = 0x0030
equals = 0x0020                 # … or: under this mask stands exactly this
means = "unstable"
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
        {"instrument", "an instrument without a format of its own, described: lines of text", instrument},
        {"instrument-registers", "the same for a map of Modbus registers", instrument_registers},
    };
    return all;
}

const Example* find_example(std::string_view kind) {
    for (const Example& example : examples())
        if (example.kind == kind) return &example;
    return nullptr;
}

}  // namespace halfturn::command
