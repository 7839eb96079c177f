#include "practice/bench.hpp"

#include <algorithm>

#include "core/failure.hpp"

namespace halfturn::practice {
namespace {
constexpr double tick_s = 0.0005;
constexpr double warm_up_s = 0.3;  // the instruments were talking before anybody listened
}  // namespace

Bench::Bench(const Scenario& scenario, const std::vector<PortWish>& ports)
    : scenario_(scenario),
      press_(scenario.press, scenario.seat),
      hand_(scenario.hand, Random(scenario.seed, "hand")),
      chance_(scenario.seed, "mishaps"),
      cell_(scenario.seed) {
    for (const auto& port : ports) {
        for (const auto& other : stations_)
            if (other.name() == port.name)
                throw BadInput("--port " + port.name + " is given twice; names must differ");
        stations_.emplace_back(port, scenario.tweak_zero_mm, scenario.seed);
    }
    for (double t_s = -warm_up_s; t_s < 0; t_s += tick_s)
        for (auto& station : stations_) station.tick(t_s, tick_s, 0);
}

Felt Bench::felt() const {
    const Ring& ring = press_.ring();
    Felt felt;
    felt.force_N = press_.force_N();
    felt.turns = press_.turns();
    felt.touching = truth_.contact.has_value();
    felt.turns_past_touch = felt.touching ? press_.turns() - truth_.contact->turns : 0;
    felt.slid_mm = ring.slid_mm();
    felt.seat_mm = scenario_.seat.length_mm;
    felt.work_in = scenario_.seat.work == Work::in;
    felt.clear = ring.clear();
    felt.home = ring.home();
    return felt;
}

void Bench::receive(std::size_t port, std::string_view bytes) { stations_[port].receive(t_s_, bytes); }

void Bench::follow_travel() {
    const double advance_mm = press_.screw_mm() - screw_before_mm_;
    screw_before_mm_ = press_.screw_mm();
    const bool slips = scenario_.mishap == Mishap::caliper_slips && truth_.mishap_at;
    caliper_mm_ += slips ? advance_mm * scenario_.follows_share : advance_mm;
    ring_gauge_mm_ = press_.ring().slid_mm();
}

void Bench::mishaps(Listener& listener) {
    const auto each = [&](Measure measure, auto&& act) {
        for (std::size_t i = 0; i < stations_.size(); ++i)
            if (stations_[i].measures() == measure) act(i);
    };
    if (cable_out_ && t_s_ >= back_s_) {
        cable_out_ = false;
        each(Measure::force, [&](std::size_t i) {
            stations_[i].connect(t_s_, true);
            listener.state(i, t_s_, PortState::opened);
        });
    }
    if (scenario_.mishap == Mishap::none || !truth_.contact) return;
    const bool ripe = press_.force_N() >= scenario_.mishap_at_N &&
                      press_.turns() - truth_.contact->turns >= scenario_.mishap_at_turns;
    if (scenario_.mishap == Mishap::spikes && truth_.mishap_at && t_s_ >= next_spike_s_) {
        each(Measure::force, [&](std::size_t i) { stations_[i].glitch_next(); });
        next_spike_s_ = t_s_ + scenario_.mishap_s * chance_.between(0.5, 1.5);
    }
    if (truth_.mishap_at || !ripe) return;
    truth_.mishap(t_s_, press_);
    switch (scenario_.mishap) {
        case Mishap::cable_out:
            cable_out_ = true;
            back_s_ = t_s_ + scenario_.mishap_s;
            each(Measure::force, [&](std::size_t i) { listener.state(i, t_s_, PortState::lost); });
            break;
        case Mishap::spikes: next_spike_s_ = t_s_; break;
        case Mishap::unit_key:
            each(Measure::screw_travel, [&](std::size_t i) { stations_[i].press_unit_key(); });
            break;
        case Mishap::zero_key:
            each(Measure::screw_travel, [&](std::size_t i) { stations_[i].set_to_zero(); });
            break;
        case Mishap::caliper_slips:
        case Mishap::none: break;
    }
}

void Bench::advance(double t_s, Listener& listener) {
    while (static_cast<double>(ticks_ + 1) * tick_s <= t_s + 1e-9) {
        t_s_ = static_cast<double>(++ticks_) * tick_s;
        press_.advance(tick_s, hand_.turns_per_s(t_s_, felt()));
        truth_.watch(t_s_, press_);
        follow_travel();
        mishaps(listener);
        for (std::size_t i = 0; i < stations_.size(); ++i) {
            Station& station = stations_[i];
            double value = 0;
            switch (station.measures()) {
                case Measure::force: value = station.feels_stray() ? cell_.shows_N(press_.force_N()) : press_.force_N(); break;
                case Measure::screw_travel: value = caliper_mm_; break;
                case Measure::ring_travel: value = ring_gauge_mm_; break;
                case Measure::turns: value = press_.turns(); break;
            }
            station.tick(t_s_, tick_s, value);
            while (auto batch = station.sends(t_s_)) {
                if (cable_out_ && station.measures() == Measure::force) continue;
                listener.bytes(i, *batch);
            }
        }
        if (done_s_ < 0 && hand_.finished()) done_s_ = t_s_;
    }
}

}  // namespace halfturn::practice
