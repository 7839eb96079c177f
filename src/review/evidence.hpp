// What a recorded curve shows, measured once, for the findings to look at. No verdicts here.
#pragma once

#include <optional>
#include <vector>

#include "core/set_up.hpp"
#include "review/seat_profile.hpp"
#include "review/slide.hpp"
#include "review/trace.hpp"
#include "watch/verdict.hpp"

namespace halfturn::review {

// From contact to release: the press winds up, and a ring that tilts gives way before it lets go.
struct WindUp {
    bool known = false;
    double way_mm = 0;  // of the screw, contact to release (or to the peak, where there was none)
    double more_than_stretch_mm = 0;  // of it, what the press's stiffness does not explain
    double u_stretch_mm = 0;          // standard uncertainty of that, from the stiffness
    bool knee_seen = false;           // fine enough turn readings to look for it, and there is one
    double knee_N = 0;
    double slope_after = 1;  // slope from the knee on over the steepest before it
};

// Torn metal: the force rises over a way and falls back at once.
struct Teeth {
    int count = 0;
    double height_N = 0;            // mean
    double spacing_mm = 0;          // mean
    double from_mm = 0, to_mm = 0;  // slid
};

struct Homing {
    bool seen = false;     // the kink of a ring on its shoulder
    double way_mm = 0;     // of the ring from contact to the kink, or to the end
    double driving_N = 0;  // just before
    double end_N = 0;      // highest after
};

struct Evidence {
    const SetUp& set_up;
    const Judgement& judgement;
    Trace trace;
    Slide slide;
    SeatProfile profile;
    bool released = false;
    double release_N = 0,
           release_bound_N = 0;     // highest reading before sliding, and what it may have been between two
    double release_over_slide = 0;  // 0: not known
    double climbs_to_N = 0, climbs_at_mm = 0;  // highest force after release, from a twentieth of the seat on
    WindUp wind_up;
    Teeth teeth;
    Homing home;
};

// Pure. The set-up and the judgement must outlive the evidence.
Evidence evidence_of(const std::vector<Sample>& samples, const SetUp& set_up, const Judgement& judgement);
// For curves without a judged job: release_t_s as in slide_of.
Evidence evidence_of(Trace trace, const SetUp& set_up, const Judgement& judgement);

Teeth saw_teeth(const std::vector<Onwards>& way, double least_N);

}  // namespace halfturn::review
