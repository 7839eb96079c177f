// One channel's way from readings to trusted numbers: unit, sign and calibration applied, lone glitches held back until a
// second reading agrees, the age and health of the value known at any time.
#pragma once

#include <array>
#include <optional>
#include <string>

#include "core/event.hpp"
#include "core/reading.hpp"
#include "core/set_up.hpp"

namespace halfturn {

// The number of a reading: as printed, or a counter's with its wraps undone.
Decimal printed(const Reading& reading);

class Gate {
public:
    Gate(const ChannelSetUp& channel, const PortSetUp& port, double usual_limit);

    enum class Outcome : std::uint8_t {
        accepted,    // value() is new
        held,        // looks like a glitch: waiting for a second reading to agree
        spike,       // the reading before was a lone glitch; value() is new
        jumped,      // a travel or counter stepped further than any hand turns; value() carries on without the step
        wrong_unit,  // the wire's unit is not the one set, or changed
        not_live,    // a stored value (tare, peak, range), or gross became net in mid-job: another zero than before
        no_number,   // a unit that can't become N, mm or turns here
    };
    Outcome take(const Reading& reading, Instant at);
    void fault(Instant at);  // a void fault: no number until the next reading

    void begin() { kind_fixed_ = true; }  // from here on a change between gross and net is another zero

    bool is_for(const Reading& reading) const;
    Measure measures() const { return channel_.measures; }
    std::uint16_t port() const { return channel_.port; }
    const ChannelSetUp& channel() const { return channel_; }

    bool known() const { return known_; }        // value() may be used
    bool ever() const { return recent_count_ > 0; }  // it gave at least one good reading
    double value() const { return value_ - origin_ + carried_; }  // N above the zero, mm or turns from the zero
    double above_certificate_zero() const { return value_; }  // N, no tare: limits stand on this
    double zero() const { return origin_; }      // value() = calibrated reading - zero() + carried()
    double carried() const { return carried_; }
    std::uint64_t accepted() const { return accepted_; }  // readings so far; a held one that was confirmed counts with its second
    double last_step() const { return last_step_; }
    double noise() const { return noise_; }      // standard deviation while slack, N or mm or turns; 0 until measured
    Instant at() const { return at_; }
    Instant usual_gap() const;                   // between readings: measured, or as set up; 0 when neither is known
    int spikes() const { return spikes_; }
    Unit unit() const { return seen_unit_; }

    // The value now is zero. False (and nothing done) when there are too few readings or a force lies outside the small
    // band a loose stack may show.
    bool set_zero(Instant now);

private:
    std::optional<double> in_base_units(const Reading& reading) const;
    void accept(double value, Instant at);
    double largest_plausible_step(Instant at) const;

    ChannelSetUp channel_;
    ChannelName index_;                          // of its readings; empty: all of the port's
    double usual_limit_;
    Unit seen_unit_ = Unit::none;
    Kind seen_kind_ = Kind::none;
    bool kind_fixed_ = false;
    bool known_ = false;
    double value_ = 0, origin_ = 0, carried_ = 0;
    double last_step_ = 0, typical_step_ = 0, noise_ = 0;
    Instant at_ = 0;
    std::uint64_t accepted_ = 0;
    Instant gap_ = 0;
    std::optional<double> held_;
    Instant held_at_ = 0;
    int spikes_ = 0;
    struct Recent { double value; Instant at; };
    std::array<Recent, 64> recent_{};            // ring of the newest accepted values, for zero and noise
    std::size_t recent_count_ = 0;
};

}  // namespace halfturn
