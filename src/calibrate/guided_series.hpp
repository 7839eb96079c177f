// The steps of a guided calibration and the wait for a steady reading: pure, so that a screen, a terminal and
// a test can drive them alike.
#pragma once

#include <deque>
#include <string>
#include <vector>

#include "calibrate/stray_load.hpp"

namespace halfturn::calibrate {

// What the person is asked to bring about; then both instruments are read at rest, or (preload) nothing is
// kept.
struct GuidedStep {
    std::string say;        // "Turn up to about 1500 N and hold."
    double target = 0;      // N, mm or turns, as the series has it; for display
    bool keep = true;       // false: a preload, a return to zero, a change of position
    std::string direction;  // for the table: "up" or "down"; what a daily check's reading is for; a stray load's cells, "12,90"
};

// Three preloads to capacity, then `series` runs up over `points` equal steps (the last one down again when
// `down`), the zero waited for between runs. ISO 7500-1's order, and ISO 376's preloads. Throws BadInput for
// capacity or counts not sensible.
std::vector<GuidedStep> force_steps(double capacity_N, int points, int series, bool down);

// A blocked pull: one preload, then up in equal steps and down again.
std::vector<GuidedStep> stiffness_steps(double highest_N, int points);

// Readings after equal numbers of turns, always arriving from the same side so that backlash stays out.
std::vector<GuidedStep> pitch_steps(double turns, int points);

// Every block three times.
std::vector<GuidedStep> travel_steps(const std::vector<double>& blocks_mm);

// The morning's check: the zero, a known block (0: none at hand), a small blocked pull. The direction says which of them a
// reading is for: "zero", "block" or "pull". Common practice, no published source.
std::vector<GuidedStep> daily_steps(double block_mm, double highest_N);

// A stray load (stray_load.hpp) of this amount, in mm, N or Nm, at about one force: undisturbed, then all round at `angles` places
// (torsion: both ways) in `rounds`, undisturbed after each. For eccentric the stack is loose while the load is moved.
std::vector<GuidedStep> stray_steps(Stray stray, double force_N, double amount, int angles, int rounds);

// Quick steps between half of the highest force and all of it, up and down by turns, that all instruments see together. Each is a
// kept step: it waits for rest, asks for the jerk and waits for rest again (StepCatch). Common practice, no published source.
std::vector<GuidedStep> lag_steps(double highest_N, int jerks);

// ---- waiting ----
// A reading is steady when the means of the two halves of the last `window_s` differ by no more than the
// largest of: one least count, 0.05 % of the value, and what their noise explains (three standard errors).
// Common practice, no published source.
class SettlingWatch {
public:
    SettlingWatch(double window_s, double least_count) : window_s_(window_s), least_count_(least_count) {}

    void add(double t_s, double value);
    void restart() { readings_.clear(); }

    struct State {
        bool steady = false;
        int count = 0;  // in the window
        double mean = 0, sd = 0, drift = 0;
    };
    State state() const;

private:
    struct Timed {
        double t_s, value;
    };
    double window_s_, least_count_;
    std::deque<Timed> readings_;
};

}  // namespace halfturn::calibrate
