// The outer ring in its seat, step by step in time: it sticks until the push beats what holds it, then it moves as a mass
// with friction and damping until it comes to rest. A mechanical model of its own, made to look like a press and not to
// agree with any formula the tool uses.
//
// Held along the seat by a table of local grip, by a share that rides with the ring's two edges until the last chamfer,
// by glue that tears once, and by torn-up metal that drags. Pulling off-axis pivots the ring before it lets go.
#pragma once

#include "core/set_up.hpp"
#include "practice/table.hpp"

namespace halfturn::practice {

struct SeatSpec {
    Work work = Work::out;
    double length_mm = 7;
    Table grip_per_mm;           // local grip, only its shape matters; place 0 is where the ring's travel begins
    double grip_N = 4800;        // normal force with the ring fully in
    double edge_share = 0.2;     // of that, carried by the ring's edges wherever they are
    bool edges_follow = false;   // … as hard as the seat grips where each edge is; else evenly
    double chamfer_mm = 0.45;    // over the last of the engagement the edges let go
    double static_friction = 0.14;
    double static_over_kinetic = 1.25;
    double regrip = 0.06;        // static friction regained by standing still, relative to kinetic
    double regrip_s = 2;         // half of it within this time
    double tightening = 0.8;     // grip added per newton of push (the balls wedge the outer ring wider)
    double bond_N = 0;           // glue or rust: tears on first slip
    double bond_gone_mm = 0.02;
    Table drag_N;                // by mm slid: torn metal
    double shoulder_N_per_mm = 90000;  // work in: what the ring meets at the end of the seat
    double mass_kg = 0.4;        // ring, drift and the moving end of the screw
    double damping_Ns_per_mm = 4;
    double knee_N = 0;           // push at which the ring begins to pivot; 0: it never does
    double pivot_N_per_mm = 0;   // how the pivoting stiffens
    double cocking_per_mm = 0;   // how much tighter the seat holds, per mm pivoted
    double righting_mm = 1.5;    // half of the cocking is gone after sliding this far
    double once_per_turn = 0;    // share of the friction that comes and goes with each turn of the screw …
    double tightest_at_turn = 0; // … and where in the turn it is highest
};

class Ring {
public:
    explicit Ring(SeatSpec spec);

    // Where the screw stands: its contact sweeps round with it, and with a bent screw or an oval seat so does the grip.
    void turned_to(double turns);

    // Lets `dt_s` pass with the drift pushing at `push_N`. Steps while moving must be short against the time of one
    // swing on the press's spring; see longest_step_s.
    void step(double dt_s, double push_N);
    double longest_step_s(double press_N_per_mm) const;

    double slid_mm() const { return slid_mm_; }
    double speed_mm_per_s() const { return speed_; }
    bool moving() const { return moving_; }
    // How far the drift's contact point is ahead of the ring's centre.
    double pivot_mm() const { return pivot_mm_; }

    double grip_N() const;                        // normal force where the ring is now, without the push's share
    double holds_N(double push_N) const;          // most it resists while standing
    double drags_N(double push_N) const;          // resists while moving
    double shoulder_N() const;                    // pushes back from home
    bool clear() const { return spec_.work == Work::out && slid_mm_ >= spec_.length_mm; }
    bool home() const { return spec_.work == Work::in && slid_mm_ >= spec_.length_mm; }
    const SeatSpec& spec() const { return spec_; }

    // Where the energy is: N mm turned into heat so far, and N mm that could come back.
    double heat_Nmm() const { return heat_Nmm_; }
    double stored_Nmm() const;

private:
    double cocking() const;
    void pivot(double dt_s, double push_N);

    SeatSpec spec_;
    Grid grip_;
    double slid_mm_ = 0, speed_ = 0, pivot_mm_ = 0;
    double standing_s_ = 0;
    double sweep_ = 1;
    bool moving_ = false, slipped_ = false;
    double heat_Nmm_ = 0;
};

// The push at which a ring at rest would let go, N, found by raising it; pivoting left aside.
double lets_go_at_N(const SeatSpec& seat);

}  // namespace halfturn::practice
