// A job's frozen set-up: everything the judge may know besides the events, as plain numbers. Stored whole with the job, so
// that it can be judged again on a day when files, tables and formulas have moved on. A new field must default to what the
// judge did before it existed.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "core/format.hpp"

namespace halfturn {

enum class Work : std::uint8_t { out, in };
enum class Access : std::uint8_t { past_spacer, through, unknown };
enum class Measure : std::uint8_t { force, screw_travel, ring_travel, turns };

std::string_view work_name(Work work);           // "out", "in"
std::string_view access_name(Access access);     // "past-spacer", "through", "unknown"
std::string_view measure_name(Measure measure);  // "force", "screw-travel", …
std::optional<Measure> measure_from_name(std::string_view name);

// 2.5 %, 50 % and 97.5 % of what is expected.
struct Band {
    double low = 0, mid = 0, high = 0;
    friend bool operator==(const Band&, const Band&) = default;
};

struct PortSetUp {
    std::string name;                  // "force": what logs call it
    std::string device;                // stable path, or empty for a log
    std::string format;                // id of the wire format
    Settings settings;
    LineSettings line;
    double silence_s = 0;              // 0: silence is normal
    double lag_s = 0;
    bool marked = false;               // bytes carry the serial line's PARMRK escapes
    Start start = Start::mid_line;
    double device_tick_s = 0;          // seconds per unit of the instrument's own clock; 0: not used
};

struct ChannelSetUp {
    std::uint16_t port = 0;
    Measure measures = Measure::force;
    std::string index;                 // which of several values on the port ("X", "1", "force"); empty: the only one
    double sign = 1;                   // +1 or -1: makes a pull, or travel in the pull's direction, positive
    Unit unit = Unit::none;            // what the wire must say; none: whatever the settings give
    bool mass_as_force = false;        // the rig says its indicator's kg stand for kgf
    double counts_per_turn = 0;        // for a counter
    std::vector<double> coefficients;  // calibration c0 + c1 x + c2 x^2 …, x in N or mm or counts; empty: x itself
    std::string calibration;           // id of the certificate, for the record; empty: none
    double capacity = 0;               // largest value in N or mm the instrument is made for; 0: not known
    double readings_per_s = 0;         // usual rate; 0: not known
    double least_count = 0;            // smallest step in N or mm; 0: not known
    bool eccentric_load_known = false; // the cell's error under a load beside its axis was calibrated; for review
    std::string eccentric_calibration; // id of that certificate, for the record; empty: the rig file just says that it is small
    double eccentric_percent_per_mm = 0;  // bound of how far it swings once per turn, of the force per mm beside the axis; 0: small
    double eccentric_to_mm = 0;        // tested as far as this; 0: no certificate
};

// The expected curve, in turns since contact.
struct CurvePoint {
    double turns = 0, low_N = 0, mid_N = 0, high_N = 0;
};

// How the seat's grip falls while the ring slides out: fraction of the full grip left after sliding this far.
struct GripPoint {
    double slid_mm = 0, fraction = 1;
};

struct SetUp {
    int version = 1;
    Work work = Work::out;
    Access access = Access::through;

    std::string rig;
    std::vector<PortSetUp> ports;
    std::vector<ChannelSetUp> channels;
    double pitch_mm = 0;
    Band stiffness_N_per_mm;           // of screw, frame and drift together; all 0: not known
    bool stiffness_measured = false;
    double force_limit_N = 0;          // the rig's hard limit; 0: none given
    double lead_s = 0.7;               // an expected stop takes a person this long
    double fastest_turns_per_s = 0;    // what these instruments can follow before release; 0: not known

    Band break_loose_N;                // out: release; in: the force while driving just before home; all 0: not known
    Band sliding_N;                    // just after release
    std::vector<CurvePoint> curve;
    std::vector<GripPoint> grip_fall;
    double seat_length_mm = 0;         // contact length; out: slides this far until clear; in: until home
    double drift_reach_mm = 0;         // radius at which the drift pushes; 0: not known; for review
    double half_turn = 0.5;            // turns from contact within which a normal ring breaks loose

    // For the record and for people; the judge does not look at these.
    std::string item, seat, set, who, designation;
    std::string job_text, rig_text;    // the files as they were given
    std::string expectation_json;      // the whole expectation with what each number rests on
    std::vector<std::string> marks;    // "rig has no valid certificate", "step skipped: …"
    bool practice = false;             // recorded on the practice rig
};

// The first channel that measures this; nullptr when there is none.
const ChannelSetUp* find_channel(const SetUp& set_up, Measure measure);
bool flats_by_hand(const SetUp& set_up);  // no instrument tells the turn: a pedal or key does, a flat at a time

}  // namespace halfturn
