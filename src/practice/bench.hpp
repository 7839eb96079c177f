// The whole practice bench: hand, press and instruments, led through time together. It knows no clock: whoever runs it
// says how far time has come and gets what the ports say meanwhile.
#pragma once

#include <string_view>
#include <vector>

#include "core/event.hpp"
#include "practice/scenario.hpp"
#include "practice/station.hpp"
#include "practice/stray.hpp"
#include "practice/truth.hpp"

namespace halfturn::practice {

// Gets what happens at the ports, in the order of time.
class Listener {
public:
    virtual ~Listener() = default;
    virtual void bytes(std::size_t port, const Batch& batch) = 0;
    virtual void state(std::size_t port, double t_s, PortState state) = 0;
};

class Bench {
public:
    Bench(const Scenario& scenario, const std::vector<PortWish>& ports);

    // Time goes on to `t_s`; nothing happens when it has come that far already.
    void advance(double t_s, Listener& listener);

    void go() { hand_.begin(t_s_); }
    void hear(Word word) { hand_.hear(word, t_s_); }
    void bring_to(double force_N) { hand_.bring_to(force_N); }
    void jerk_to(double force_N) { hand_.jerk_to(force_N); }
    // The load cell gets a load it should not feel; false: not understood.
    bool disturb(std::string_view words) { return cell_.disturb(words); }
    void receive(std::size_t port, std::string_view bytes);
    // The host has a reader at this port from now on.
    void open(std::size_t port) { stations_[port].connect(t_s_, true); }

    double t_s() const { return t_s_; }
    // The hand has come to its end and the instruments have seen it at rest for a while.
    bool done() const { return done_s_ >= 0 && t_s_ >= done_s_ + 1.2; }
    const std::vector<Station>& stations() const { return stations_; }
    const Truth& truth() const { return truth_; }
    const Hand& hand() const { return hand_; }
    std::string truth_json() const { return truth_.json(scenario_, hand_.ended_by(), t_s_); }

private:
    Felt felt() const;
    void follow_travel();
    void mishaps(Listener& listener);

    Scenario scenario_;
    Press press_;
    Hand hand_;
    Random chance_;
    StrayCell cell_;
    std::vector<Station> stations_;
    Truth truth_;
    std::int64_t ticks_ = 0;
    double t_s_ = 0, done_s_ = -1;
    double caliper_mm_ = 0, ring_gauge_mm_ = 0, screw_before_mm_ = 0;
    double next_spike_s_ = -1, back_s_ = -1;
    bool cable_out_ = false;
};

}  // namespace halfturn::practice
