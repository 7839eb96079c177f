#include "watch/gate.hpp"

#include <cmath>

#include "watch/calibrated.hpp"

namespace halfturn {
namespace {

constexpr Instant zero_window = nanoseconds_per_second;        // a zero averages the newest second
constexpr std::size_t fewest_for_zero = 3;
constexpr double widest_zero_fraction = 0.03;                  // of the capacity or limit: a loose stack weighs little
constexpr double widest_zero_N = 60;
constexpr double fastest_hand_turns_per_s = 4;                 // nobody spins a loaded screw faster; common practice, no published source
constexpr double free_step_turns = 0.15;
constexpr double free_step_mm = 0.25;
constexpr double smallest_force_jump_N = 300;

}  // namespace

Decimal printed(const Reading& reading) { return reading.unwrapped ? normalised(*reading.unwrapped, 0) : reading.value; }

Gate::Gate(const ChannelSetUp& channel, const PortSetUp&, double usual_limit)
    : channel_(channel), index_(channel.index), usual_limit_(channel.capacity > 0 ? channel.capacity : usual_limit),
      seen_unit_(channel.unit) {
    if (channel.readings_per_s > 0) gap_ = from_seconds(1 / channel.readings_per_s);
}

bool Gate::is_for(const Reading& reading) const {
    return channel_.index.empty() || (reading.channel == index_ && channel_.index.size() <= index_.text.size());
}

std::optional<double> Gate::in_base_units(const Reading& reading) const {
    const auto factor = unit_factor(channel_, reading.unit);
    if (!factor) return {};
    return calibrated(channel_, to_double(printed(reading)), *factor);
}

Instant Gate::usual_gap() const { return gap_; }

double Gate::largest_plausible_step(Instant at) const {
    const double gap_s = at > at_ ? seconds(at - at_) : 0;
    switch (channel_.measures) {
        case Measure::force: {
            const double fraction = usual_limit_ > 0 ? 0.1 * usual_limit_ : 0;
            const double floor_N = fraction > smallest_force_jump_N ? fraction : smallest_force_jump_N;
            return floor_N > 4 * typical_step_ ? floor_N : 4 * typical_step_;
        }
        case Measure::turns: return free_step_turns + fastest_hand_turns_per_s * gap_s;
        // A coarse screw moves 2 mm a turn; a ring can jump by the press's whole stretch, about half a millimetre.
        case Measure::screw_travel: return free_step_mm + 2 * fastest_hand_turns_per_s * gap_s;
        case Measure::ring_travel: return 1 + 2 * fastest_hand_turns_per_s * gap_s;
    }
    return 0;
}

void Gate::accept(double value, Instant at) {
    if (known_) {
        last_step_ = value - value_;
        const double size = std::fabs(last_step_);
        typical_step_ = typical_step_ * 0.9 + size * 0.1;
        const Instant gap = at - at_;
        if (gap > 0) gap_ = gap_ == 0 ? gap : (gap_ * 7 + gap) / 8;
    }
    known_ = true;
    value_ = value;
    at_ = at;
    ++accepted_;
    recent_[recent_count_++ % recent_.size()] = {value, at};
}

Gate::Outcome Gate::take(const Reading& reading, Instant at) {
    if (seen_unit_ == Unit::none) seen_unit_ = reading.unit;
    if (reading.unit != seen_unit_ && reading.unit != Unit::none) {
        known_ = false;
        return Outcome::wrong_unit;
    }
    if (!is_live(reading.kind)) {
        known_ = false;
        held_.reset();
        return Outcome::not_live;
    }
    if (reading.kind != seen_kind_ && reading.kind != Kind::none) {
        if (kind_fixed_ && seen_kind_ != Kind::none) {
            known_ = false;
            held_.reset();
            return Outcome::not_live;
        }
        seen_kind_ = reading.kind;
        recent_count_ = 0;  // tared before the start: what was read on the other zero is not averaged into this one
    }
    const auto value = in_base_units(reading);
    if (!value) {
        known_ = false;
        return Outcome::no_number;
    }
    const bool first = recent_count_ == 0;
    if (held_) {
        const double held = *held_;
        held_.reset();
        const double from_held = std::fabs(*value - value_), held_step = std::fabs(held - value_);
        const bool came_back = from_held < 0.5 * held_step || (held_step == 0 && from_held == 0);
        if (came_back) {
            ++spikes_;
            accept(*value, at);
            return Outcome::spike;
        }
        // Two in a row agree: the step is real. For travel that means the instrument was zeroed or slipped its mount.
        if (channel_.measures != Measure::force) {
            carried_ -= held - value_;
            accept(held, held_at_);
            accept(*value, at);
            return Outcome::jumped;
        }
        accept(held, held_at_);
        accept(*value, at);
        return Outcome::accepted;
    }
    const bool too_far = !first && std::fabs(*value - value_) > largest_plausible_step(at);
    if (too_far || (reading.suspect != Suspect::none && !first)) {
        held_ = *value;
        held_at_ = at;
        return Outcome::held;
    }
    accept(*value, at);
    return Outcome::accepted;
}

void Gate::fault(Instant) {
    known_ = false;
    held_.reset();
}

bool Gate::set_zero(Instant now) {
    double sum = 0;
    std::size_t count = 0;
    const std::size_t available = recent_count_ < recent_.size() ? recent_count_ : recent_.size();
    for (std::size_t i = 0; i < available; ++i) {
        if (now - recent_[i].at > zero_window) continue;
        sum += recent_[i].value;
        ++count;
    }
    if (count < fewest_for_zero) {
        if (channel_.measures == Measure::force || !known_) return false;
        sum = value_;  // a caliper that prints on change has no newer reading, and needs none
        count = 1;
    }
    const double mean = sum / static_cast<double>(count);
    if (channel_.measures == Measure::force) {
        const double band = usual_limit_ > 0 ? widest_zero_fraction * usual_limit_ : widest_zero_N;
        if (std::fabs(mean) > (band > widest_zero_N ? band : widest_zero_N)) return false;
    }
    double squares = 0;
    for (std::size_t i = 0; i < available; ++i)
        if (now - recent_[i].at <= zero_window) squares += (recent_[i].value - mean) * (recent_[i].value - mean);
    if (count >= fewest_for_zero) noise_ = std::sqrt(squares / static_cast<double>(count - 1));
    origin_ = mean;
    carried_ = 0;
    return true;
}

}  // namespace halfturn
