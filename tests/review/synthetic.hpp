// Curves for tests of review, from plain formulas that share nothing with the practice rig: a seat with a
// given grip along its depth, a ring that breaks loose and slides, a press that stretches, readings with
// noise.
#pragma once

#include <cmath>
#include <functional>
#include <random>
#include <vector>

#include "core/set_up.hpp"
#include "review/evidence.hpp"
#include "review/slide.hpp"
#include "review/trace.hpp"

namespace halfturn::test {

struct SyntheticSeat {
    double length_mm = 6.5;
    double full_N = 800;  // sliding force with the whole seat engaged
    std::function<double(double)> grip = [](double) { return 1.0; };  // by depth from the mouth, 0 to 1
    std::function<double(double)> fall = [](double engaged) {         // an even seat's share, engaged 0 to 1
        return engaged <= 0 ? 0.0 : std::min(1.0, 0.2 + 0.8 * engaged) * std::min(1.0, engaged / 0.04);
    };
    double break_over_slide = 1.25;
    double ripple = 0, ripple_phase = 0.3;  // once per turn, share of the force
    double pitch_mm = 1.25, stiffness_N_per_mm = 20000;
    double turns_per_s = 0.3, readings_per_s = 80, noise_N = 1.5;
    double saw_N = 0, saw_mm = 0.5;  // torn metal: rises over saw_mm, drops at once
    unsigned seed = 1;
};

// The mean grip over what is engaged: depth 0 to `engaged` of 1.
inline double engaged_mean(const SyntheticSeat& seat, double engaged) {
    double sum = 0;
    constexpr int steps = 200;
    for (int i = 0; i < steps; ++i) sum += seat.grip(engaged * (i + 0.5) / steps);
    return sum / steps;
}

inline double sliding_N(const SyntheticSeat& seat, double slid_mm, double turns) {
    const double engaged = 1 - slid_mm / seat.length_mm;
    if (engaged <= 0) return 0;
    double force = seat.full_N * seat.fall(engaged) * engaged_mean(seat, engaged);
    force *= 1 + seat.ripple * std::cos(2 * 3.14159265358979 * (turns - seat.ripple_phase));
    if (seat.saw_N > 0 && slid_mm > 0.3)
        force += seat.saw_N * (std::fmod(slid_mm, seat.saw_mm) / seat.saw_mm);
    return force;
}

struct SyntheticPull {
    std::vector<review::BarePoint> points;
    double release_t_s = 0, release_N = 0;
};

// Turned evenly from contact until clear.
inline SyntheticPull pull(const SyntheticSeat& seat) {
    SyntheticPull out;
    std::mt19937 random(seat.seed);
    std::normal_distribution<double> noise(0, seat.noise_N);
    out.release_N = seat.break_over_slide * sliding_N(seat, 0, 0);
    double slid = 0;
    bool loose = false;
    for (double t = 0;; t += 1 / seat.readings_per_s) {
        const double turns = seat.turns_per_s * t, screw = turns * seat.pitch_mm;
        double force = seat.stiffness_N_per_mm * screw;
        if (!loose && force >= out.release_N)
            loose = true, out.release_t_s = out.points.empty() ? 0 : out.points.back().t_s;
        if (loose) {
            // The ring moves until the press holds just the friction.
            while (slid < seat.length_mm &&
                   seat.stiffness_N_per_mm * (screw - slid) > sliding_N(seat, slid, turns))
                slid += 0.0005;
            force = slid >= seat.length_mm ? 0 : seat.stiffness_N_per_mm * (screw - slid);
        }
        out.points.push_back({t, force + noise(random), turns});
        if (screw > seat.length_mm + 1) return out;
    }
}

inline SetUp synthetic_set_up(const SyntheticSeat& seat) {
    SetUp s;
    s.work = Work::out;
    s.pitch_mm = seat.pitch_mm;
    s.stiffness_N_per_mm = {0.9 * seat.stiffness_N_per_mm, seat.stiffness_N_per_mm,
                            1.1 * seat.stiffness_N_per_mm};
    s.stiffness_measured = true;
    s.seat_length_mm = seat.length_mm;
    for (int i = 0; i <= 24; ++i) s.grip_fall.push_back({seat.length_mm * i / 24, seat.fall(1 - i / 24.0)});
    s.grip_fall.back().fraction = 0;
    s.break_loose_N = {450, 950, 2000};
    s.sliding_N = {350, 750, 1600};
    return s;
}

inline review::Trace synthetic_trace(const SyntheticSeat& seat, const SyntheticPull& pulled) {
    return review::trace_of(pulled.points, seat.pitch_mm, seat.stiffness_N_per_mm, seat.noise_N);
}

inline review::Slide synthetic_slide(const SyntheticSeat& seat, const SyntheticPull& pulled) {
    return review::slide_of(synthetic_trace(seat, pulled), synthetic_set_up(seat), pulled.release_t_s, {});
}

// A pull as a judged job: set-up and judgement stay with it, because evidence refers to them.
struct SyntheticJob {
    SetUp set_up;
    Judgement judgement;
    review::Trace trace;
    review::Evidence evidence() const { return review::evidence_of(trace, set_up, judgement); }
};

inline SyntheticJob job_of(const SyntheticSeat& seat) {
    const SyntheticPull pulled = pull(seat);
    SyntheticJob job{synthetic_set_up(seat), {}, synthetic_trace(seat, pulled)};
    double highest = 0;
    for (const review::BarePoint& p : pulled.points) highest = std::max(highest, p.force_N);
    job.judgement.phase = Phase::clear;
    job.judgement.contact_turns = 0;
    job.judgement.peak_N = highest;
    BreakLoose release;
    release.at = from_seconds(pulled.release_t_s);
    release.force_N = pulled.release_N;
    release.force_bound_N = pulled.release_N + 20;
    job.judgement.break_loose = release;
    return job;
}

}  // namespace halfturn::test
