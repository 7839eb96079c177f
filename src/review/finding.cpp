#include "review/finding.hpp"

#include <algorithm>
#include <charconv>
#include <cmath>

namespace halfturn::review {

extern const std::string_view finding_rates_csv;

std::string_view strength_name(Strength strength) {
    static constexpr std::string_view names[] = {"suspected", "clear", "strong"};
    return names[static_cast<std::size_t>(strength)];
}

Strength strength_of(double times_threshold) {
    return times_threshold < 1.3 ? Strength::suspected
           : times_threshold < 2 ? Strength::clear
                                 : Strength::strong;
}

std::optional<Rates> rates_of(std::string_view finding_id) {
    for (std::size_t at = 0; at < finding_rates_csv.size();) {
        const std::size_t end = std::min(finding_rates_csv.find('\n', at), finding_rates_csv.size());
        std::string_view line = finding_rates_csv.substr(at, end - at);
        at = end + 1;
        const std::size_t comma = line.find(',');
        if (line.empty() || line.front() == '#' || line.substr(0, comma) != finding_id) continue;
        Rates rates;
        for (int* field : {&rates.without, &rates.false_alarms, &rates.open_without, &rates.with,
                           &rates.missed, &rates.open_with}) {
            line.remove_prefix(std::min(line.find(',') + 1, line.size()));
            std::from_chars(line.data(), line.data() + line.size(), *field);
        }
        return rates;
    }
    return {};
}

double galled_times(const Evidence& e) {
    const double level = e.set_up.work == Work::out ? e.release_N : e.slide.first_N;
    if (e.slide.stretches.empty() || e.teeth.count < 3 || level <= 0) return 0;
    constexpr double least_height = 0.1, least_work = 1.2;
    return std::min(
        {e.teeth.count / 3.0, e.teeth.height_N / (least_height * level), e.slide.over_fall / least_work});
}

double cocked_times(const Evidence& e) {
    if (e.set_up.work != Work::out || e.release_N <= 0) return 0;
    const Band& band = e.set_up.break_loose_N;
    constexpr double climbs_over_knee = 2.2, over_mid = 1.35, beyond_release = 1.2;
    double times = 0;
    if (e.wind_up.known && e.wind_up.knee_seen && e.wind_up.knee_N > 0 && band.mid > 0) {
        // A late knee: the ring began to pivot, and then needed far more than that to come.
        const double climbed = e.release_N / e.wind_up.knee_N / climbs_over_knee;
        const double needed = e.release_N / band.mid / over_mid;
        const double give = 0.62 / std::max(e.wind_up.slope_after, 0.1);
        times = std::min({climbed, needed, give});
    }
    // Without fine turns, a wind-up much longer than the press's stretch for that force.
    if (e.wind_up.known && !e.wind_up.knee_seen && e.set_up.stiffness_measured && band.high > 0) {
        const double stretch = e.wind_up.way_mm - e.wind_up.more_than_stretch_mm;
        const double longer =
            e.wind_up.more_than_stretch_mm / (0.6 * stretch + 3 * e.wind_up.u_stretch_mm + 0.04);
        times = std::max(times, std::min(longer, e.release_N / (over_mid * band.mid)));
    }
    // Or it tilts on the way: the force climbs again without teeth.
    if (e.released && e.teeth.count < 3)
        times = std::max(times, e.climbs_to_N / (beyond_release * e.release_N));
    return times;
}

std::string shape_hidden(const Evidence& e) {
    if (e.set_up.work == Work::in && !e.home.seen)
        return "the ring was not seen to come home, so its place in the seat is not known";
    if (e.set_up.work == Work::in && e.home.way_mm < 0.875 * e.set_up.seat_length_mm)
        return "the ring stopped short of its shoulder, so its place in the seat is not known";
    if (cocked_times(e) >= 1) return "the ring was cocked on its way out, which hides the seat's own shape";
    if (galled_times(e) >= 1) return "torn metal rides on the force and hides the seat's own shape";
    return {};
}

Answer shape_answer(const Evidence& e, SeatShape shape, double least_size) {
    const SeatProfile& p = e.profile;
    if (!p.known) return cannot(p.why_not);
    if (p.shape == SeatShape::cant_tell) return cannot(p.says);
    Answer answer;
    const bool likeliest = p.shape == shape;
    if (!likeliest && std::find(p.or_shapes.begin(), p.or_shapes.end(), shape) == p.or_shapes.end())
        return answer;
    if (std::string hidden = shape_hidden(e); !hidden.empty()) return cannot(hidden);
    constexpr double least_over_u = 2.5;
    const double size = std::fabs(p.size);
    // Where two shapes fit as well, each is no more than suspected.
    answer.times_threshold =
        p.or_shapes.empty()
            ? std::max(1.0, std::min(size / least_size, size / (least_over_u * p.u_size + 1e-12)))
        : likeliest ? 1.2
                    : 1.0;
    answer.seen = Seen::yes;
    answer.says = p.says;
    // Out, the seat's inner end is passed first; in, its mouth.
    const bool out = e.set_up.work == Work::out;
    const double length = e.slide.length_mm;
    Place place{out ? length - p.to_mm : p.from_mm, out ? length - p.from_mm : p.to_mm, 0};
    for (const Onwards& w : e.slide.onwards)
        if (w.slid_mm <= 0.5 * (place.from_mm + place.to_mm)) place.force_N = w.force_N;
    answer.place = place;
    return answer;
}

Findings look_for_findings(const Evidence& evidence) {
    Findings out;
    std::optional<Found> nothing;
    for (const auto& finding : make_all_findings()) {
        Found one{finding->info(), Strength::suspected, finding->look(evidence),
                  rates_of(finding->info().id)};
        one.strength = strength_of(one.answer.times_threshold);
        if (finding->info().id == nothing_unusual_id)
            nothing = std::move(one);
        else if (one.answer.seen == Seen::yes)
            out.found.push_back(std::move(one));
        else if (one.answer.seen == Seen::cant_tell)
            out.open.push_back(std::move(one));
    }
    std::stable_sort(out.found.begin(), out.found.end(), [](const Found& a, const Found& b) {
        return a.answer.times_threshold > b.answer.times_threshold;
    });
    if (out.found.empty() && nothing)
        (nothing->answer.seen == Seen::yes ? out.found : out.open).push_back(std::move(*nothing));
    return out;
}

}  // namespace halfturn::review
