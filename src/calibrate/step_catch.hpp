// Catches one quick step that all instruments see together: rest, a jerk when everything has rested, rest again. Pure: whoever has
// the instruments says what they read and when.
//   StepCatch c(2, 3, {0.5, 0.01});  c.reading(0, t_s, 812.5, true);  if (c.at() == StepCatch::At::ready) say("now");
#pragma once

#include <cstddef>
#include <vector>

#include "calibrate/guided_series.hpp"
#include "calibrate/step_test.hpp"

namespace halfturn::calibrate {

class StepCatch {
public:
    // rest_s: how long everything must stand before and after, s. least_counts: of each instrument, in its unit.
    StepCatch(std::size_t instruments, double rest_s, std::vector<double> least_counts);

    // fresh: false where a silent display is taken to stand where it was; such a value tells rest, but is no reading.
    void reading(std::size_t instrument, double t_s, double value, bool fresh);

    enum class At : std::uint8_t { resting, ready, moving, done };
    At at() const { return at_; }
    int missed() const { return missed_; }  // steps that not all instruments saw, or that did not come to rest in time

    // What was recorded, at rest before to at rest after, when it is done; times count from the first reading.
    const std::vector<StepSignal>& signals() const { return signals_; }

private:
    struct Watched {
        SettlingWatch before;
        double mean = 0, sd = 0, least_count = 0;  // at rest, before
        bool moved = false;
        std::vector<double> after_t_s, after;      // all values since the move
    };
    bool has_moved(const Watched& w, double value) const;
    bool rests_again(const Watched& w) const;
    void look(double t_s);
    void start_over();
    void finish();

    double rest_s_;
    At at_ = At::resting;
    int missed_ = 0;
    double moved_s_ = 0;
    std::vector<Watched> watched_;
    std::vector<StepSignal> signals_;
};

}  // namespace halfturn::calibrate
