// Where the job stands: contact, break-loose, sliding, clear; or entering, driving, home. A pure tracker of samples.
#pragma once

#include <array>
#include <cstddef>
#include <optional>

#include "core/set_up.hpp"
#include "watch/sample.hpp"
#include "watch/verdict.hpp"

namespace halfturn {

// How fast force and turns change, over a short window of fresh values.
class Slope {
public:
    explicit Slope(Instant window) : window_(window) {}
    void add(Instant at, double value);
    void clear();
    // Least squares over the window; needs three values. Worked out when first asked for: few readings are asked.
    std::optional<double> per_second() const;

private:
    struct Point { Instant at; double value; };
    std::optional<double> fitted() const;
    const Point& point(std::size_t i) const { return points_[(first_ + i) % points_.size()]; }

    Instant window_;
    std::array<Point, 64> points_{};
    std::size_t first_ = 0, count_ = 0;
    mutable std::optional<double> per_second_;
    mutable bool stands_ = false;              // per_second_ is of these points
};

class Progress {
public:
    Progress(const SetUp& set_up, bool has_force, bool has_ring);

    void take(const Sample& sample);
    void begin(const Sample& sample);         // judging starts; a stack that is already loaded counts from here
    void set_noise(double force_noise_N);     // measured while the stack was loose
    void flat_made();                         // a sixth of a turn by pedal or key
    void lost_sight();                        // the force reading was gone for a while: a peak from before tells nothing

    Phase phase() const { return phase_; }
    bool loaded_at_start() const { return loaded_at_start_; }
    bool in_contact() const { return contact_.has_value(); }
    double contact_turns() const { return contact_ ? *contact_ : 0; }
    std::optional<double> first_contact_turns() const { return first_contact_; }
    double turns_from_contact() const;        // 0 before contact
    // The force has dropped or stopped rising, and the turn reading is too old yet to tell a release from backing off.
    bool drop_pending() const;
    bool released() const { return break_loose_.has_value(); }
    const std::optional<BreakLoose>& break_loose() const { return break_loose_; }
    double slid_mm() const;                   // since break-loose; 0 when travel is not known
    bool slid_known() const { return break_loose_.has_value() && screw_known_; }
    double peak_N() const { return peak_ever_N_; }
    double loading_peak_N() const { return peak_N_; }
    bool fell_away() const { return fell_away_at_.has_value(); }  // force vanished without a release, latest time
    std::optional<Instant> fell_away_at() const { return fell_away_at_; }
    double fell_from_N() const { return fell_from_N_; }
    bool unloaded() const { return unloaded_; }  // the force has gone for at least half a second
    double turned_back() const { return turns_most_ - turns_now_; }  // turns, from the farthest point of this contact
    double turns_per_s() const { return in_flats_ ? flats_turns_per_s_ : turn_slope_.per_second().value_or(0); }
    double force_per_s() const { return force_slope_.per_second().value_or(0); }
    double contact_force_N() const { return contact_force_N_; }
    double force_step_N() const { return step_N_; }  // the largest rise between neighbouring readings lately
    double steepest_N_per_turn() const { return steepest_N_per_turn_; }
    // Turns made since the curve fell below 55 % of its steepest slope for good, still rising; 0 before that.
    double turns_since_knee() const;
    std::optional<double> knee_force_N() const { return knee_ ? std::optional(knee_->force_N) : std::nullopt; }
    std::optional<double> home_force_N() const { return home_force_N_; }
    double home_turns() const { return home_turns_; }

private:
    struct Mark { double turns, force_N; };
    void take_force(const Sample& sample);
    void take_turns(const Sample& sample);
    void look_for_release(const Sample& sample);
    void look_for_home(const Sample& sample);
    void follow_slope(const Sample& sample);
    void release();
    void lose_contact();
    void forget_drop();
    bool turns_tell(const Sample& sample) const;
    bool backed_off(const Sample& sample) const;
    bool passed_again() const;

    const SetUp& set_up_;
    bool has_force_, has_ring_;
    Phase phase_ = Phase::slack;
    bool began_ = false, loaded_at_start_ = false;
    std::optional<double> contact_, first_contact_;
    double contact_force_N_;
    double noise_N_ = 0;
    int above_contact_ = 0;
    double turns_at_first_above_ = 0;
    bool in_flats_ = false;      // the turn reading steps by whole flats
    int still_for_ = 0;          // readings since it moved
    Instant turned_at_ = 0;
    double turns_now_ = 0, turns_most_ = 0;
    bool screw_known_ = false;
    double peak_N_ = 0, peak_turns_ = 0, peak_ever_N_ = 0, peak_ring_mm_ = 0;
    Instant peak_at_ = 0;
    double last_force_N_ = 0;
    double step_N_ = 0, step_at_peak_N_ = 0;
    int below_peak_ = 0;
    double largest_fall_N_ = 0;  // between neighbouring readings since the peak
    std::optional<Instant> low_since_, dropped_at_;
    std::optional<double> backed_from_;  // turns made before the screw was turned back
    bool turns_told_ = false, flat_pending_ = false;
    double lowest_N_ = 0;        // since the drop
    bool force_seen_ = false;    // since judging began
    std::optional<double> ring_at_contact_mm_;
    std::optional<BreakLoose> break_loose_;
    std::optional<Instant> fell_away_at_;
    double fell_from_N_ = 0;
    bool unloaded_ = true;
    Instant light_since_ = 0;
    bool light_ = true;
    Slope turn_slope_, force_slope_;
    double flats_turns_per_s_ = 0;  // over the newest flat
    std::optional<double> turns_after_peak_;  // read once the peak is older than the turn reading's lag
    double steepest_N_per_turn_ = 0;
    std::optional<Mark> window_start_;
    std::optional<Mark> knee_;
    std::optional<double> home_force_N_;
    double home_turns_ = 0;
    double driving_N_ = 0;       // running level while driving in
};

}  // namespace halfturn
