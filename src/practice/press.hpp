// The press: a hand turns a screw, the screw pulls through slack and a springy stack on the ring. Own mechanics, stepped
// in time; the spring is F = k u^2 / (u + toe), soft while its joints bed in, then straight.
#pragma once

#include "practice/ring.hpp"

namespace halfturn::practice {

struct PressSpec {
    double pitch_mm = 1.25;
    double slack_mm = 0.3;             // screw travel until the stack touches
    double stiffness_N_per_mm = 20000;
    double toe_mm = 0.02;
    double relaxing_share = 0.03;      // of the spring's give, comes late
    double relaxing_s = 1.5;
    double creeping_share = 0;         // the held end turns along by this share of the hand's turns …
    double creeping_above_N = 150;     // … while the pull is above this
    double slips_at_N = 0;             // the drift jumps off its ring at this pull, once; 0: never
    double slip_gap_mm = 0.15;         // and must travel this far until it touches again
};

class Press {
public:
    Press(PressSpec spec, SeatSpec seat) : spec_(spec), ring_(std::move(seat)) {}

    // Lets `dt_s` pass with the hand turning at this speed; backwards is negative.
    void advance(double dt_s, double turns_per_s);

    double turns() const { return turns_; }       // of the hand's end
    double screw_mm() const { return screw_mm_; } // travel through the held end
    double force_N() const { return force_N_; }
    const Ring& ring() const { return ring_; }
    bool drift_slipped() const { return drift_slipped_; }
    double squeeze_mm() const;                     // of the stack; negative while there is slack

    // The energy account, N mm: what the screw put in, and where it is. They agree but for the error of the steps.
    double work_Nmm() const { return work_Nmm_; }
    double accounted_Nmm() const;

private:
    double spring_N(double squeeze_mm) const;
    double spring_Nmm(double squeeze_mm) const;
    void step(double dt_s, double turns_per_s);

    PressSpec spec_;
    Ring ring_;
    double turns_ = 0, screw_mm_ = 0, force_N_ = 0;
    double relaxed_mm_ = 0, jumped_mm_ = 0;
    bool drift_slipped_ = false;
    double work_Nmm_ = 0, heat_Nmm_ = 0;
};

}  // namespace halfturn::practice
