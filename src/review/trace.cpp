#include "review/trace.hpp"

#include <algorithm>
#include <cmath>

namespace halfturn::review {
namespace {

constexpr double normal_mad = 1.4826;

struct Stamped {
    double t_s, value;
};

double usual_gap(const std::vector<Stamped>& readings) {
    std::vector<double> gaps;
    for (std::size_t i = 1; i < readings.size(); ++i) gaps.push_back(readings[i].t_s - readings[i - 1].t_s);
    return median(std::move(gaps));
}

// The smallest step that comes up often: the least count, as far as the readings show it.
double seen_step(const std::vector<Stamped>& readings) {
    std::vector<double> steps;
    for (std::size_t i = 1; i < readings.size(); ++i) {
        const double step = std::fabs(readings[i].value - readings[i - 1].value);
        if (step > 1e-9) steps.push_back(step);
    }
    if (steps.size() < 8) return 0;
    const auto tenth = steps.begin() + static_cast<std::ptrdiff_t>(steps.size() / 10);
    std::nth_element(steps.begin(), tenth, steps.end());
    return *tenth;
}

class Interpolated {
public:
    explicit Interpolated(const std::vector<Stamped>& readings) : readings_(readings) {}
    // For times that rise from call to call.
    double at(double t_s) {
        while (next_ < readings_.size() && readings_[next_].t_s <= t_s) ++next_;
        if (next_ == 0) return readings_.front().value;
        if (next_ == readings_.size()) return readings_.back().value;
        const Stamped &a = readings_[next_ - 1], &b = readings_[next_];
        return a.value + (b.value - a.value) * (t_s - a.t_s) / (b.t_s - a.t_s);
    }

private:
    const std::vector<Stamped>& readings_;
    std::size_t next_ = 0;
};

// Where the ring is: the screw's way less what the press is stretched by.
void move_by_stretch(Trace& trace, double pitch_mm, double stiffness_N_per_mm) {
    for (TracePoint& p : trace.points)
        p.moved_mm = p.turns * pitch_mm - (stiffness_N_per_mm > 0 ? p.force_N / stiffness_N_per_mm : 0);
}

void measure_speed(Trace& trace) {
    std::vector<double> speeds;
    constexpr std::size_t apart = 8;
    for (std::size_t i = apart; i < trace.points.size(); i += apart) {
        const TracePoint &a = trace.points[i - apart], &b = trace.points[i];
        const double moved = b.moved_mm - a.moved_mm;
        if (moved > 0.01 && b.t_s > a.t_s) speeds.push_back(moved / (b.t_s - a.t_s));
    }
    trace.moving_mm_per_s = median(std::move(speeds));
}

}  // namespace

double median(std::vector<double> values) {
    if (values.empty()) return 0;
    const auto middle = values.begin() + static_cast<std::ptrdiff_t>(values.size() / 2);
    std::nth_element(values.begin(), middle, values.end());
    return *middle;
}

double neighbour_noise(const std::vector<double>& values) {
    std::vector<double> steps;
    for (std::size_t i = 1; i < values.size(); ++i) steps.push_back(std::fabs(values[i] - values[i - 1]));
    return normal_mad * median(std::move(steps)) / std::sqrt(2.0);
}

Trace trace_of(const std::vector<Sample>& samples, const SetUp& set_up, const Judgement& judgement,
               double stiffness_N_per_mm) {
    std::vector<Stamped> force, turns, ring;
    for (const Sample& s : samples) {
        if (!s.began) continue;
        if (s.force_known && s.force_fresh) force.push_back({seconds(s.at), s.force_N});
        if (s.screw_known && s.screw_fresh) turns.push_back({seconds(s.at), s.turns});
        if (s.ring_known && s.ring_fresh) ring.push_back({seconds(s.at), s.ring_mm});
    }
    Trace trace;
    trace.has_force = force.size() > 8;
    trace.has_turns = turns.size() > 4;
    trace.has_ring = ring.size() > 4;
    trace.force_gap_s = usual_gap(force);
    trace.turns_gap_s = usual_gap(turns);
    trace.force_step_N = seen_step(force);
    trace.turns_step_mm = seen_step(turns) * set_up.pitch_mm;
    if (!trace.has_force || !trace.has_turns || !judgement.contact_turns) return trace;

    const double contact = *judgement.contact_turns;
    Interpolated turns_at(turns), ring_at(ring);
    std::vector<double> loose;
    bool touched = false;
    double ring_zero = 0;
    for (const Stamped& f : force) {
        const double at = turns_at.at(f.t_s) - contact;
        if (!touched && at < 0) {
            loose.push_back(f.value);
            if (trace.has_ring) ring_zero = ring_at.at(f.t_s);
            continue;
        }
        touched = true;
        trace.points.push_back({f.t_s, f.value, at, trace.has_ring ? ring_at.at(f.t_s) - ring_zero : 0});
    }
    // The last readings before contact may already carry load.
    if (loose.size() > 4) loose.resize(loose.size() - 4);
    trace.force_noise_N = std::max(neighbour_noise(loose), trace.force_step_N / std::sqrt(12.0));
    trace.moved_by_gauge = trace.has_ring && trace.turns_gap_s > 0;
    if (!trace.moved_by_gauge) move_by_stretch(trace, set_up.pitch_mm, stiffness_N_per_mm);
    measure_speed(trace);
    return trace;
}

Trace trace_of(const std::vector<BarePoint>& points, double pitch_mm, double stiffness_N_per_mm,
               double force_noise_N) {
    Trace trace;
    for (const BarePoint& p : points) trace.points.push_back({p.t_s, p.force_N, p.turns, 0});
    trace.has_force = trace.has_turns = points.size() > 8;
    trace.force_noise_N = force_noise_N;
    std::vector<double> gaps;
    for (std::size_t i = 1; i < points.size(); ++i) gaps.push_back(points[i].t_s - points[i - 1].t_s);
    trace.force_gap_s = trace.turns_gap_s = median(std::move(gaps));
    move_by_stretch(trace, pitch_mm, stiffness_N_per_mm);
    measure_speed(trace);
    return trace;
}

}  // namespace halfturn::review
