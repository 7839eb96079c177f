// One instrument at its port: follows a true quantity with lag and noise, measures at its own rate and talks over its wire.
#pragma once

#include <memory>
#include <optional>
#include <string>

#include "practice/instruments/instrument.hpp"
#include "practice/wire.hpp"

namespace halfturn::practice {

// "force=hdr-comma:force,unit=kN,rate_hz=40"
struct PortWish {
    std::string name;
    const InstrumentKind* kind = nullptr;
    Measure measures = Measure::force;
    Options options;
};

// Throws BadInput saying what was expected.
PortWish read_port_wish(const std::string& text);
// A 5 kN cell, a caliper on the screw and a counter on its head.
std::vector<PortWish> usual_ports();

class Station {
public:
    // `starts_mm`: what a caliper shows at the start.
    Station(const PortWish& wish, double starts_mm, std::uint64_t seed);

    // Time goes on to `t_s`, at most a few ms at once; `true_value` in N, mm or turns.
    void tick(double t_s, double dt_s, double true_value);
    void receive(double t_s, std::string_view bytes);  // from the host
    std::optional<Batch> sends(double t_s) { return wire_.receive(t_s); }

    void connect(double t_s, bool power_was_off);
    void press_unit_key() { instrument_->press_unit_key(); }
    void set_to_zero() { zero_ = shown_ + offset_ / factor_; }
    void glitch_next() { glitch_ = true; }

    const std::string& name() const { return wish_.name; }
    Measure measures() const { return wish_.measures; }
    bool feels_stray() const { return feels_stray_; }  // a load cell that loads beside its axis disturb
    // A host must ask this instrument: what to send and how often; nothing when it talks by itself.
    std::optional<double> asked_every_s() const;
    std::string_view ask() const { return wish_.kind->ask; }

private:
    double reading();

    PortWish wish_;
    std::unique_ptr<Instrument> instrument_;
    Random random_;
    double every_s_, noise_, lag_s_, factor_, offset_;
    Wire wire_;
    double shown_ = 0, zero_ = 0, next_s_ = -1e9, now_s_ = 0;
    double off_until_s_ = -1e9;
    bool first_ = true, glitch_ = false, feels_stray_ = true;
    std::string heard_;
};

}  // namespace halfturn::practice
