#include "watch/progress.hpp"

#include <algorithm>
#include <cmath>

namespace halfturn {
namespace {

constexpr Instant slope_window = 300'000'000;
constexpr Instant turn_window = 350'000'000;      // three readings of a caliper that speaks ten times a second
constexpr Instant unloaded_after = 500'000'000;
constexpr double smallest_contact_N = 20;
constexpr double contact_share_of_band = 0.04;
// A drop that says "released": at least this share of the peak, and more than noise and reading steps can make.
constexpr double drop_share = 0.08;
constexpr Instant low_for = 200'000'000;
constexpr double went_on_turns = 0.01;
// Turning on by this much while the force no longer rises says it too: a stuck stack would have gained hundreds of newtons.
constexpr double flat_advance_turns = 0.04;
constexpr double flat_rise_share = 0.01;
// Less than this share of the peak left at once is more than kinetic friction and the jump's overshoot explain.
constexpr double fell_away_share = 0.2;
// Turned back by this much, or by this share of what the drop in force takes: the hand backed off.
constexpr double backed_off_turns = 0.03;
constexpr double unwound_share = 0.5;
constexpr double passed_turns = 0.02;
constexpr double least_flat_turns = 0.05;
constexpr double knee_share = 0.55;
constexpr double slope_window_turns = 0.03;
constexpr double kink_window_turns = 0.015;  // a hand that feels the shoulder stops within a fortieth of a turn
constexpr double ring_moved_mm = 0.05;
constexpr double clear_share_of_seat = 0.85;
constexpr double home_share_of_seat = 0.6;

}  // namespace

void Slope::add(Instant at, double value) {
    stands_ = false;
    if (count_ == points_.size()) {
        first_ = (first_ + 1) % points_.size();
        --count_;
    }
    points_[(first_ + count_) % points_.size()] = {at, value};
    ++count_;
    while (count_ > 3 && at - points_[first_].at > window_) {
        first_ = (first_ + 1) % points_.size();
        --count_;
    }
}

void Slope::clear() {
    count_ = 0;
    stands_ = false;
}

std::optional<double> Slope::per_second() const {
    if (!stands_) per_second_ = fitted();
    stands_ = true;
    return per_second_;
}

std::optional<double> Slope::fitted() const {
    if (count_ < 3) return {};
    std::array<double, 64> times;
    const Instant origin = point(0).at;
    double mean_t = 0, mean_v = 0;
    for (std::size_t i = 0; i < count_; ++i) {
        times[i] = seconds(point(i).at - origin);
        mean_t += times[i];
        mean_v += point(i).value;
    }
    const double n = static_cast<double>(count_);
    mean_t /= n;
    mean_v /= n;
    double stv = 0, stt = 0;
    for (std::size_t i = 0; i < count_; ++i) {
        const double t = times[i] - mean_t;
        stv += t * (point(i).value - mean_v);
        stt += t * t;
    }
    if (stt <= 0) return {};
    return stv / stt;
}

Progress::Progress(const SetUp& set_up, bool has_force, bool has_ring)
    : set_up_(set_up),
      has_force_(has_force),
      has_ring_(has_ring),
      contact_force_N_(std::max(smallest_contact_N, contact_share_of_band * set_up.break_loose_N.mid)),
      turn_slope_(turn_window),
      force_slope_(slope_window) {}

void Progress::set_noise(double force_noise_N) {
    noise_N_ = force_noise_N;
    contact_force_N_ = std::max({smallest_contact_N, contact_share_of_band * set_up_.break_loose_N.mid, 6 * noise_N_});
}

void Progress::begin(const Sample& sample) {
    began_ = true;
    turns_now_ = turns_most_ = sample.turns;
    if (!has_force_) {
        // Without a load cell the mechanic begins at contact, so the turns count from here.
        contact_ = first_contact_ = sample.turns;
        phase_ = set_up_.work == Work::out ? Phase::loading : Phase::entering;
        return;
    }
    if (sample.force_known && sample.force_N >= contact_force_N_) {
        loaded_at_start_ = true;
        contact_ = first_contact_ = sample.turns;
        phase_ = set_up_.work == Work::out ? Phase::loading : Phase::entering;
        peak_N_ = sample.force_N;
        peak_turns_ = sample.turns;
        peak_at_ = sample.at;
    }
}

double Progress::turns_from_contact() const { return contact_ ? turns_now_ - *contact_ : 0; }

double Progress::slid_mm() const {
    if (!break_loose_ || !screw_known_) return 0;
    // The screw's advance since release, plus the stretch that the falling force gave back.
    double slid = (turns_now_ - break_loose_->turns) * set_up_.pitch_mm;
    if (set_up_.stiffness_N_per_mm.mid > 0)
        slid += (break_loose_->force_N - last_force_N_) / set_up_.stiffness_N_per_mm.mid;
    return slid > 0 ? slid : 0;
}

double Progress::turns_since_knee() const {
    if (!knee_ || break_loose_) return 0;
    return turns_now_ - knee_->turns;
}

void Progress::flat_made() {
    turns_now_ += 1.0 / 6;
    turns_most_ = std::max(turns_most_, turns_now_);
    if (!has_force_ && !contact_) contact_ = first_contact_ = turns_now_;
}

void Progress::lost_sight() {
    peak_N_ = 0;
    forget_drop();
    window_start_.reset();
    knee_.reset();
    force_slope_.clear();
}

void Progress::take(const Sample& sample) {
    if (sample.screw_fresh) take_turns(sample);
    if (!began_) {
        if (sample.force_known) last_force_N_ = sample.force_N;
        return;
    }
    if (has_ring_ && sample.ring_known && contact_ && !ring_at_contact_mm_) ring_at_contact_mm_ = sample.ring_mm;
    if (sample.force_fresh) take_force(sample);
    if (set_up_.work == Work::out) look_for_release(sample);
    else look_for_home(sample);
    follow_slope(sample);
}

void Progress::take_turns(const Sample& sample) {
    if (!screw_known_) {
        turns_most_ = turns_now_ = sample.turns;
        turned_at_ = sample.at;
    }
    screw_known_ = true;
    // A reading that stands still and then leaps counts flats, not turns: it was turned all the while since the last leap.
    const double leap = std::fabs(sample.turns - turns_now_);
    const Instant since_turned = sample.at - turned_at_;
    if (leap > 0) {
        in_flats_ = leap >= least_flat_turns && still_for_ >= 3;
        still_for_ = 0;
        turned_at_ = sample.at;
    } else {
        ++still_for_;
    }
    turns_now_ = sample.turns;
    turns_most_ = std::max(turns_most_, turns_now_);
    turn_slope_.add(sample.at, sample.turns);
    if (in_flats_ && leap > 0) flats_turns_per_s_ = leap / seconds(since_turned);
}

void Progress::take_force(const Sample& sample) {
    const double force = sample.force_N;
    if (!force_seen_ && force >= contact_force_N_) loaded_at_start_ = true;
    force_seen_ = true;
    force_slope_.add(sample.at, force);
    const double rise = force - last_force_N_;
    step_N_ = std::max(rise, step_N_ * 0.9);
    largest_fall_N_ = std::max(largest_fall_N_, -rise);
    last_force_N_ = force;
    peak_ever_N_ = std::max(peak_ever_N_, force);

    const bool light = force < 0.6 * contact_force_N_;
    if (light && !light_) light_since_ = sample.at;
    light_ = light;
    unloaded_ = light && (sample.at - light_since_ >= unloaded_after || (phase_ == Phase::slack && !fell_away_at_));

    if (force >= contact_force_N_) {
        if (above_contact_++ == 0) turns_at_first_above_ = turns_now_;
    } else {
        above_contact_ = 0;
    }
    if (!contact_ && above_contact_ >= 2) {
        contact_ = turns_at_first_above_;
        turns_most_ = turns_now_;
        if (!first_contact_) first_contact_ = contact_;
        phase_ = set_up_.work == Work::out ? Phase::loading : Phase::entering;
        peak_N_ = 0;
        peak_turns_ = turns_now_;
    }
    if (contact_ && force > peak_N_) {
        peak_N_ = force;
        peak_turns_ = turns_now_;
        turns_after_peak_.reset();
        largest_fall_N_ = 0;
        peak_at_ = sample.at;
        step_at_peak_N_ = step_N_;
        peak_ring_mm_ = sample.ring_mm;
        forget_drop();
    }
}

void Progress::forget_drop() {
    below_peak_ = 0;
    low_since_.reset();
    dropped_at_.reset();
    backed_from_.reset();
    turns_told_ = flat_pending_ = false;
}

void Progress::release() {
    BreakLoose out;
    out.at = peak_at_;
    out.turns = peak_turns_;
    out.turns_from_contact = peak_turns_ - contact_.value_or(peak_turns_);
    out.force_N = peak_N_;
    out.force_bound_N = peak_N_ + std::max(step_at_peak_N_, 0.0);
    break_loose_ = out;
    phase_ = Phase::sliding;
}

void Progress::lose_contact() {
    contact_.reset();
    above_contact_ = 0;
    peak_N_ = 0;
    forget_drop();
    steepest_N_per_turn_ = 0;
    window_start_.reset();
    knee_.reset();
    ring_at_contact_mm_.reset();
    if (phase_ == Phase::loading || phase_ == Phase::entering) phase_ = Phase::slack;
}

// The force also drops when the screw is turned back. The turn reading says which, once it is no older than the drop.
bool Progress::turns_tell(const Sample& sample) const {
    return !screw_known_ || sample.at >= *dropped_at_ + from_seconds(sample.screw_late_s);
}

bool Progress::drop_pending() const { return ((dropped_at_ || low_since_) && !turns_told_) || flat_pending_; }

bool Progress::backed_off(const Sample& sample) const {
    if (!screw_known_) return false;
    const double back = turns_most_ - turns_now_;
    const double rigid_N_per_turn = set_up_.stiffness_N_per_mm.mid * set_up_.pitch_mm;
    const double unwound = rigid_N_per_turn > 0 ? unwound_share * (peak_N_ - lowest_N_) / rigid_N_per_turn : 0;
    return back > std::min(backed_off_turns, std::max(1.5 * sample.screw_step_turns, unwound));
}

// After backing off, only turns beyond those made before, with less force than they took, tell of a release.
bool Progress::passed_again() const {
    return turns_now_ > *backed_from_ + passed_turns && last_force_N_ < (1 - drop_share) * peak_N_;
}

void Progress::look_for_release(const Sample& sample) {
    if (phase_ == Phase::loading && !has_force_) {
        // Only travel: the ring itself must be seen moving.
        if (ring_at_contact_mm_ && sample.ring_fresh && sample.ring_mm - *ring_at_contact_mm_ > ring_moved_mm) {
            peak_turns_ = turns_now_;
            peak_at_ = sample.at;
            release();
        }
        return;
    }
    if (phase_ == Phase::sliding) {
        const double seat_mm = set_up_.seat_length_mm;
        const bool far = !screw_known_ || seat_mm <= 0 || slid_mm() >= clear_share_of_seat * seat_mm;
        if (far && has_force_ && unloaded_) phase_ = Phase::clear;
        if (!has_force_ && has_ring_ && seat_mm > 0 && ring_at_contact_mm_ && sample.ring_mm - *ring_at_contact_mm_ >= seat_mm)
            phase_ = Phase::clear;
        return;
    }
    if (phase_ != Phase::loading) return;

    if (sample.force_fresh && last_force_N_ < peak_N_) {
        const double plain = std::max({drop_share * peak_N_, 6 * noise_N_, 0.5 * smallest_contact_N});
        const double sudden = std::min(std::max(plain, 3 * step_at_peak_N_), 0.5 * peak_N_);
        const double drop = peak_N_ - last_force_N_;
        below_peak_ = drop >= sudden && largest_fall_N_ >= 0.5 * plain ? below_peak_ + 1 : 0;
        // A drop too small to stand out between two readings still shows when it lasts.
        if (drop < plain) low_since_.reset();
        else if (!low_since_) low_since_ = sample.at;
    }
    // A hand that backs off lowers the force as well, but step by step, and the screw is not seen to go on.
    const bool stays_low = low_since_ && sample.at - *low_since_ >= low_for && screw_known_ && turns_now_ > peak_turns_ + went_on_turns;
    const bool ring_moved = has_ring_ && ring_at_contact_mm_ && sample.ring_fresh &&
                            sample.ring_mm - *ring_at_contact_mm_ > ring_moved_mm;
    if ((below_peak_ >= 2 || stays_low) && !dropped_at_) {
        dropped_at_ = low_since_.value_or(sample.at);
        lowest_N_ = last_force_N_;
    }
    if (dropped_at_) lowest_N_ = std::min(lowest_N_, last_force_N_);
    turns_told_ = dropped_at_ && turns_tell(sample);
    if (turns_told_ && backed_off(sample)) {
        if (!backed_from_) backed_from_ = turns_most_;
        lowest_N_ = last_force_N_;
    } else if (turns_told_ && (!backed_from_ || passed_again())) {
        const bool vanished = lowest_N_ < fell_away_share * peak_N_ && lowest_N_ < contact_force_N_ + 0.1 * peak_N_;
        const bool bonded_let_go = set_up_.break_loose_N.high > 0 && peak_N_ > set_up_.break_loose_N.high;
        if (vanished && !bonded_let_go && !ring_moved) {
            fell_away_at_ = sample.at;
            fell_from_N_ = peak_N_;
            lose_contact();
            return;
        }
        release();
        return;
    }
    if (ring_moved) {
        release();
        return;
    }
    if (screw_known_ && sample.screw_fresh && sample.force_known) {
        // A turn reading shows the end of a stroke late, so only what it gains after its own lag counts as turning on.
        const Instant late = from_seconds(2 * sample.screw_late_s);
        flat_pending_ = sample.at < peak_at_ + late && last_force_N_ < (1 - flat_rise_share) * peak_N_ - 3 * noise_N_;
        if (sample.at < peak_at_ + late || !turns_after_peak_) {
            turns_after_peak_ = turns_now_;
            return;
        }
        const double advance = turns_now_ - *turns_after_peak_;
        const double flat = std::max(3 * noise_N_, flat_rise_share * peak_N_);
        if (advance > flat_advance_turns && last_force_N_ > contact_force_N_ && last_force_N_ < peak_N_ + flat) release();
    }
    if (light_ && sample.at - light_since_ >= unloaded_after && !drop_pending())
        lose_contact();  // backed off by hand: the next contact counts anew
}

void Progress::look_for_home(const Sample& sample) {
    if (!contact_) return;
    if (light_ && sample.at - light_since_ >= unloaded_after && phase_ != Phase::home) {
        // A pause with the load off while driving in is normal; the travel made so far stays.
        return;
    }
    const double travelled_mm = turns_from_contact() * set_up_.pitch_mm;
    if (phase_ == Phase::entering && screw_known_ && set_up_.seat_length_mm > 0 && travelled_mm > 0.15 * set_up_.seat_length_mm)
        phase_ = Phase::driving;
    if (phase_ == Phase::entering && !screw_known_) phase_ = Phase::driving;
    (void)sample;
}

void Progress::follow_slope(const Sample& sample) {
    if (!contact_ || !has_force_ || !screw_known_ || !sample.screw_fresh || in_flats_ || phase_ == Phase::sliding ||
        phase_ == Phase::clear)
        return;
    const Mark here{turns_now_, last_force_N_};
    if (!window_start_ || here.turns < window_start_->turns) {
        window_start_ = here;
        return;
    }
    const double advance = here.turns - window_start_->turns;
    if (advance < (set_up_.work == Work::out ? slope_window_turns : kink_window_turns)) return;
    const double slope = (here.force_N - window_start_->force_N) / advance;
    if (set_up_.work == Work::out) {
        if (slope > steepest_N_per_turn_) steepest_N_per_turn_ = slope;
        // A ring that pivots from the start, or a screw that bends, never shows the stiffness that was measured straight.
        const double straight = set_up_.stiffness_measured ? set_up_.stiffness_N_per_mm.low * set_up_.pitch_mm : 0;
        if (slope >= knee_share * std::max(steepest_N_per_turn_, straight)) knee_.reset();
        else if (!knee_ && steepest_N_per_turn_ > 0) knee_ = window_start_;
    } else if (phase_ == Phase::driving || phase_ == Phase::entering) {
        const double travelled_mm = turns_from_contact() * set_up_.pitch_mm;
        const double rigid = set_up_.stiffness_N_per_mm.low > 0 ? set_up_.stiffness_N_per_mm.low * set_up_.pitch_mm : 0;
        const bool far = set_up_.seat_length_mm <= 0 || travelled_mm > home_share_of_seat * set_up_.seat_length_mm;
        const bool steep = rigid > 0 ? slope > 0.35 * rigid : slope > 8 * std::max(driving_N_, contact_force_N_);
        // The spring of each new stroke is as steep as the shoulder; only above the level of driving is it the shoulder.
        const bool above = driving_N_ > 0 && here.force_N > 1.15 * driving_N_ + 3 * noise_N_;
        if (far && steep && above) {
            phase_ = Phase::home;
            home_force_N_ = window_start_->force_N;
            home_turns_ = window_start_->turns;
        } else if (far && rigid > 0 && slope > 0.1 * rigid && here.force_N > driving_N_ + 3 * noise_N_) {
            return;  // the kink may lie within this stretch: look on from its start
        } else if (here.force_N > driving_N_) {
            driving_N_ = here.force_N;
        }
    }
    window_start_ = here;
}

}  // namespace halfturn
