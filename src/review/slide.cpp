#include "review/slide.hpp"

#include <algorithm>
#include <cmath>

namespace halfturn::review {
namespace {

constexpr std::size_t stretches_per_seat = 64;
constexpr double length_may_differ = 0.125;
// Below this share of the first sliding force nothing grips any more.
constexpr double clear_share = 0.08;

using Way = Onwards;

// The ring's way onwards: points in which it stands or a reading wavers back are folded into the next step
// forward.
std::vector<Way> way_onwards(const Trace& trace, std::size_t from, double zero_mm) {
    std::vector<Way> way;
    double farthest = -1e9;
    for (std::size_t i = from; i < trace.points.size(); ++i) {
        const TracePoint& p = trace.points[i];
        const double slid = p.moved_mm - zero_mm;
        if (slid <= farthest) continue;
        farthest = slid;
        way.push_back({slid, p.force_N, p.turns});
    }
    return way;
}

// Out: the ring is clear where the force is gone for good; looked for from the far end.
std::optional<double> clear_at(const std::vector<Way>& way, double first_N, double length_mm) {
    for (std::size_t i = way.size(); i-- > 0;)
        if (way[i].force_N > clear_share * first_N) {
            if (i + 1 == way.size() || way[i].slid_mm < 0.5 * length_mm) return {};
            return 0.5 * (way[i].slid_mm + way[i + 1].slid_mm);
        }
    return {};
}

double first_force(const std::vector<Way>& way, double from_mm, double to_mm) {
    std::vector<double> forces;
    for (const Way& w : way)
        if (w.slid_mm >= from_mm && w.slid_mm <= to_mm) forces.push_back(w.force_N);
    return median(std::move(forces));
}

void gather(Slide& slide, const std::vector<Way>& way, bool out, double stretched, double offset_mm) {
    const double cell = slide.length_mm / stretches_per_seat;
    std::vector<SlideStretch> cells(stretches_per_seat);
    std::vector<double> depth(stretches_per_seat, 0);
    for (std::size_t i = 1; i < way.size(); ++i) {
        const Way &a = way[i - 1], &b = way[i];
        // A step over several stretches (a jump, or slow readings) gives each its share, at the force between
        // the ends.
        const auto engaged = [&](double slid) {
            return out ? slide.length_mm - slid * stretched : offset_mm + slid * stretched;
        };
        double low = engaged(out ? b.slid_mm : a.slid_mm), high = engaged(out ? a.slid_mm : b.slid_mm);
        const double span = high - low;
        if (span <= 0) continue;
        low = std::max(low, 0.0);
        high = std::min(high, slide.length_mm);
        for (double at = low; at < high;) {
            const auto index = std::min(stretches_per_seat - 1, static_cast<std::size_t>(at / cell));
            const double to = std::min(high, cell * static_cast<double>(index + 1));
            if (to <= at) break;
            const double middle = 0.5 * (at + to), part = to - at;
            const double toward_b =
                out ? (engaged(a.slid_mm) - middle) / span : (middle - engaged(a.slid_mm)) / span;
            SlideStretch& c = cells[index];
            c.force_N += part * (a.force_N + (b.force_N - a.force_N) * toward_b);
            c.turns += part * (a.turns + (b.turns - a.turns) * toward_b);
            depth[index] += part * middle;
            c.way_mm += part;
            c.readings += part / span;
            at = to;
        }
    }
    for (std::size_t i = 0; i < cells.size(); ++i) {
        SlideStretch c = cells[i];
        if (c.way_mm < 0.25 * cell) continue;
        c.force_N /= c.way_mm;
        c.turns /= c.way_mm;
        c.engaged_mm = depth[i] / c.way_mm;
        slide.way_mm += c.way_mm;
        slide.work_Nmm += c.force_N * c.way_mm;
        slide.stretches.push_back(c);
    }
}

// How far a stretch's force lies beside the line between its neighbours: third differences would follow
// ripple, first ones the fall itself.
double scatter(const std::vector<SlideStretch>& s) {
    std::vector<double> beside;
    for (std::size_t i = 1; i + 1 < s.size(); ++i) {
        const double span = s[i + 1].engaged_mm - s[i - 1].engaged_mm;
        const double at = (s[i].engaged_mm - s[i - 1].engaged_mm) / span;
        beside.push_back(std::fabs(s[i].force_N - (s[i - 1].force_N * (1 - at) + s[i + 1].force_N * at)));
    }
    return 1.4826 * median(std::move(beside)) / std::sqrt(1.5);
}

}  // namespace

double grip_share(const SetUp& set_up, double engaged_mm) {
    const double length = set_up.seat_length_mm, slid = length - engaged_mm;
    if (engaged_mm <= 0) return 0;
    if (slid <= 0) return 1;
    if (set_up.grip_fall.empty()) return engaged_mm / length;
    GripPoint before;
    for (const GripPoint& p : set_up.grip_fall) {
        if (slid <= p.slid_mm) {
            const double span = p.slid_mm - before.slid_mm;
            return span > 0
                       ? before.fraction + (p.fraction - before.fraction) * (slid - before.slid_mm) / span
                       : p.fraction;
        }
        before = p;
    }
    return 0;
}

Slide slide_of(const Trace& trace, const SetUp& set_up, std::optional<double> release_t_s,
               std::optional<double> home_mm) {
    Slide slide;
    slide.length_mm = set_up.seat_length_mm;
    const bool out = set_up.work == Work::out;
    if (!trace.has_force)
        slide.why_not = "there is no force reading";
    else if (!trace.has_turns)
        slide.why_not = "nothing measured the screw's way";
    else if (set_up.pitch_mm <= 0 || set_up.seat_length_mm <= 0)
        slide.why_not = "the set-up gives no screw pitch or no seat";
    else if (trace.points.empty())
        slide.why_not = "the press never took load";
    else if (out && !release_t_s)
        slide.why_not = "the ring did not break loose";
    if (!slide.why_not.empty()) return slide;

    std::size_t from = 0;
    double zero_mm = 0;
    if (out) {
        while (from + 1 < trace.points.size() && trace.points[from].t_s < *release_t_s) ++from;
        zero_mm = trace.points[from].moved_mm;
    }
    const std::vector<Way> way = way_onwards(trace, from, zero_mm);
    const double length = slide.length_mm;
    if (way.size() < 12 || way.back().slid_mm < 0.1 * length) {
        slide.why_not = out ? "the ring slid too short a way, or too fast for these readings"
                            : "the ring went in too short a way, or too fast for these readings";
        return slide;
    }
    double stretched = 1, offset_mm = 0;
    if (out) {
        // The first reading after the release is where the jump ended.
        if (way.size() > 1) slide.unseen_mm = std::max(0.0, way[1].slid_mm);
        slide.first_N = first_force(way, slide.unseen_mm, slide.unseen_mm + 0.125 * length);
        slide.seen_length_mm = clear_at(way, slide.first_N, length);
        if (slide.seen_length_mm && std::fabs(*slide.seen_length_mm / length - 1) < length_may_differ)
            stretched = length / *slide.seen_length_mm;
    } else {
        slide.seen_length_mm = home_mm;
        // Contact is felt on the ring's edge, home on its face: the latter is sharp.
        if (home_mm && std::fabs(*home_mm / length - 1) < length_may_differ)
            stretched = length / *home_mm;
        else if (home_mm && *home_mm > length)
            offset_mm = length - *home_mm;
        const double end = home_mm.value_or(std::min(way.back().slid_mm, length));
        slide.first_N = first_force(way, end - 0.15 * length, end - 0.03 * length);
    }
    // What comes after home is the shoulder, not the seat.
    std::vector<Way> sliding = way;
    if (!out && home_mm)
        sliding.erase(std::find_if(sliding.begin(), sliding.end(),
                                   [&](const Way& w) { return w.slid_mm > *home_mm - 0.02; }),
                      sliding.end());
    // The first step out of a release is the jump: its force fell within it, nobody knows how.
    if (out && sliding.size() > 1) sliding.erase(sliding.begin());
    gather(slide, sliding, out, stretched, offset_mm);
    slide.onwards = std::move(sliding);
    double even_Nmm = 0;
    for (const SlideStretch& s : slide.stretches)
        even_Nmm += slide.first_N * grip_share(set_up, s.engaged_mm) * s.way_mm;
    if (even_Nmm > 0) slide.over_fall = slide.work_Nmm / even_Nmm;
    slide.scatter_N = scatter(slide.stretches);
    if (slide.stretches.size() < 10) {
        slide.why_not = "too few readings while the ring slid";
        slide.stretches.clear();
    }
    return slide;
}

}  // namespace halfturn::review
