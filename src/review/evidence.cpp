#include "review/evidence.hpp"

#include <algorithm>
#include <cmath>

namespace halfturn::review {
namespace {

constexpr double knee_slope = 0.62;      // from the knee on, of the steepest before it
constexpr double home_rise = 0.25;       // above driving, of it
constexpr double home_within_mm = 0.08;  // what shoulder and stretch's doubt let the ring move while it rises
constexpr double least_home_N = 60;

struct Wound {
    double screw_mm, force_N;
};

// Screw travel onwards only: strokes back, pauses and a stack that settles under load are left out.
std::vector<Wound> wound_up(const Trace& trace, double pitch_mm, double until_s) {
    std::vector<Wound> out;
    double farthest = -1;
    for (const TracePoint& p : trace.points) {
        if (p.t_s > until_s) break;
        const double mm = p.turns * pitch_mm;
        if (mm <= farthest) {
            if (!out.empty()) out.back().force_N = std::max(out.back().force_N, p.force_N);
            continue;
        }
        farthest = mm;
        out.push_back({mm, p.force_N});
    }
    return out;
}

double slope(const std::vector<Wound>& w, std::size_t from, std::size_t to) {
    double n = 0, x = 0, y = 0, xx = 0, xy = 0;
    for (std::size_t i = from; i <= to; ++i) {
        n += 1, x += w[i].screw_mm, y += w[i].force_N;
        xx += w[i].screw_mm * w[i].screw_mm, xy += w[i].screw_mm * w[i].force_N;
    }
    const double below = n * xx - x * x;
    return below > 0 ? (n * xy - x * y) / below : 0;
}

WindUp measure_wind_up(const Trace& trace, const SetUp& set_up, double until_s, double top_N) {
    WindUp out;
    const std::vector<Wound> w = wound_up(trace, set_up.pitch_mm, until_s);
    if (w.size() < 3 || top_N <= 0) return out;
    out.known = true;
    out.way_mm = w.back().screw_mm;
    const Band& k = set_up.stiffness_N_per_mm;
    if (k.mid > 0) {
        out.more_than_stretch_mm = out.way_mm - top_N / k.mid;
        out.u_stretch_mm = k.low > 0 ? top_N * (1 / k.low - 1 / k.high) / 4 : 0;
    }
    // A knee is looked for where turn readings divide the wind-up finely enough.
    const double finest = std::max(trace.turns_step_mm, 1e-4);
    if (out.way_mm < 10 * finest || w.size() < 24) return out;
    // Two lines with one corner: the pair that fits best.
    double best = -1;
    std::size_t corner = 0;
    const std::size_t edge = std::max<std::size_t>(4, w.size() / 12);
    // The foot is soft while joints bed in; the first tenth of the force says nothing.
    std::size_t foot = 0;
    while (foot + 2 * edge < w.size() && w[foot].force_N < 0.1 * top_N) ++foot;
    for (std::size_t c = foot + edge; c + edge < w.size(); ++c) {
        double error = 0;
        for (const auto& [a, b] : {std::pair(foot, c), std::pair(c, w.size() - 1)}) {
            const double s = slope(w, a, b);
            double mean_x = 0, mean_y = 0;
            const double n = static_cast<double>(b - a + 1);
            for (std::size_t i = a; i <= b; ++i) mean_x += w[i].screw_mm / n, mean_y += w[i].force_N / n;
            for (std::size_t i = a; i <= b; ++i) {
                const double beside = w[i].force_N - mean_y - s * (w[i].screw_mm - mean_x);
                error += beside * beside;
            }
        }
        if (best < 0 || error < best) best = error, corner = c;
    }
    if (best < 0) return out;
    const double before = slope(w, foot, corner), after = slope(w, corner, w.size() - 1);
    if (before <= 0 || after >= knee_slope * before) return out;
    out.knee_seen = true;
    out.knee_N = w[corner].force_N;
    out.slope_after = std::max(0.0, after / before);
    return out;
}

// The ring stands on its shoulder where the force rises and the ring, stretch taken off, no longer moves.
Homing find_home(const Trace& trace, const SetUp& set_up) {
    Homing out;
    double farthest = 0;
    for (const TracePoint& p : trace.points) farthest = std::max(farthest, p.moved_mm);
    out.way_mm = farthest;
    if (trace.points.empty() || set_up.seat_length_mm <= 0) return out;
    // Highest force near the farthest place, and the level of driving before it.
    double end_N = 0;
    std::vector<double> driving;
    const double settle = home_within_mm * 2;
    for (const TracePoint& p : trace.points) {
        if (p.moved_mm > farthest - settle)
            end_N = std::max(end_N, p.force_N);
        else if (p.moved_mm > farthest - settle - 0.12 * set_up.seat_length_mm)
            driving.push_back(p.force_N);
    }
    out.driving_N = median(std::move(driving));
    out.end_N = end_N;
    const double rise = end_N - out.driving_N;
    if (farthest < 0.5 * set_up.seat_length_mm ||
        rise < std::max({home_rise * out.driving_N, 8 * trace.force_noise_N, least_home_N}))
        return out;
    // The kink: the last reading not above driving by more than a fifth of the rise.
    const TracePoint* kink = nullptr;
    for (const TracePoint& p : trace.points) {
        if (p.force_N >= end_N) break;
        if (p.force_N <= out.driving_N + 0.2 * rise) kink = &p;
    }
    if (kink == nullptr) return out;
    out.seen = true;
    out.way_mm = kink->moved_mm;
    return out;
}

void measure_climb(Evidence& e) {
    for (const Onwards& w : e.slide.onwards) {
        if (w.slid_mm < 0.05 * e.slide.length_mm || w.slid_mm > 0.95 * e.slide.length_mm) continue;
        if (w.force_N > e.climbs_to_N) e.climbs_to_N = w.force_N, e.climbs_at_mm = w.slid_mm;
    }
}

}  // namespace

Teeth saw_teeth(const std::vector<Onwards>& way, double least_N) {
    Teeth out;
    if (way.size() < 3 || least_N <= 0) return out;
    // Turning points that differ by at least least_N; a tooth is a rise over a way followed by a much steeper
    // fall.
    std::size_t low = 0, high = 0;
    bool rising = false;
    double last_mm = -1, spacings = 0;
    for (std::size_t i = 1; i < way.size(); ++i) {
        if (rising) {
            if (way[i].force_N > way[high].force_N) high = i;
            if (way[high].force_N - way[i].force_N < least_N) continue;
            std::size_t bottom = i;
            while (bottom + 1 < way.size() && way[bottom + 1].force_N < way[bottom].force_N) ++bottom;
            const double up_mm = way[high].slid_mm - way[low].slid_mm,
                         down_mm = way[i].slid_mm - way[high].slid_mm;
            if (up_mm >= 0.06 && down_mm <= 0.6 * up_mm) {
                ++out.count;
                out.height_N += way[high].force_N - way[bottom].force_N;
                if (out.count == 1) out.from_mm = way[high].slid_mm;
                out.to_mm = way[high].slid_mm;
                if (last_mm >= 0) spacings += way[high].slid_mm - last_mm;
                last_mm = way[high].slid_mm;
            }
            low = i;
            rising = false;
        } else {
            if (way[i].force_N < way[low].force_N) low = i;
            if (way[i].force_N - way[low].force_N < least_N) continue;
            high = i;
            rising = true;
        }
    }
    if (out.count > 0) out.height_N /= out.count;
    if (out.count > 1) out.spacing_mm = spacings / (out.count - 1);
    return out;
}

Evidence evidence_of(Trace trace, const SetUp& set_up, const Judgement& judgement) {
    Evidence e{set_up, judgement, std::move(trace), {}, {}, false, 0, 0, 0, 0, 0, {}, {}, {}};
    const bool out = set_up.work == Work::out;
    std::optional<double> release_s;
    if (out && judgement.break_loose) {
        e.released = true;
        e.release_N = judgement.break_loose->force_N;
        e.release_bound_N = judgement.break_loose->force_bound_N;
        release_s = seconds(judgement.break_loose->at);
        // A cell that went over its range lost sight of the peak; the readings before it still stand.
        for (const TracePoint& p : e.trace.points)
            if (p.t_s <= *release_s && p.force_N > e.release_bound_N)
                e.release_N = e.release_bound_N = p.force_N;
    } else if (out) {
        e.release_N = e.release_bound_N = judgement.peak_N;
    }
    if (!out) e.home = find_home(e.trace, set_up);
    e.slide = slide_of(e.trace, set_up, release_s, e.home.seen ? std::optional(e.home.way_mm) : std::nullopt);
    if (e.released && e.slide.first_N > 0) e.release_over_slide = e.release_N / e.slide.first_N;
    if (out && !e.trace.points.empty()) {
        // A cell at the end of its range stops rising while the screw goes on: look no further than that.
        const ChannelSetUp* cell = find_channel(set_up, Measure::force);
        const double most_N = cell && cell->capacity > 0 ? 0.95 * cell->capacity : e.release_N;
        double until_s = 0, top_N = 0;
        for (const TracePoint& p : e.trace.points) {
            if ((release_s && p.t_s > *release_s) || top_N >= most_N) break;
            if (p.force_N > top_N) top_N = p.force_N, until_s = p.t_s;
        }
        e.wind_up = measure_wind_up(e.trace, set_up, until_s, top_N);
    }
    if (out) measure_climb(e);
    const double level = out ? std::max(e.release_N, e.slide.first_N) : e.slide.first_N;
    e.teeth = saw_teeth(e.slide.onwards, std::max(0.06 * level, 6 * e.trace.force_noise_N));
    e.profile = seat_profile(e.slide, set_up, e.trace);
    return e;
}

Evidence evidence_of(const std::vector<Sample>& samples, const SetUp& set_up, const Judgement& judgement) {
    return evidence_of(trace_of(samples, set_up, judgement, set_up.stiffness_N_per_mm.mid), set_up,
                       judgement);
}

}  // namespace halfturn::review
