#include "review/trend_jobs.hpp"

#include <algorithm>
#include <cmath>

#include "core/failure.hpp"
#include "core/number_text.hpp"
#include "review/past_job.hpp"
#include "review/seat_history.hpp"

namespace halfturn::review {
namespace {

// The load cell's stable name where the system gives one, otherwise what it speaks.
std::string instrument_name(const SetUp& set_up) {
    const ChannelSetUp* force = find_channel(set_up, Measure::force);
    if (force == nullptr || force->port >= set_up.ports.size()) return "no force";
    const PortSetUp& port = set_up.ports[force->port];
    const std::string device = port.device.substr(port.device.rfind('/') + 1);
    return (device.empty() ? port.format : port.format + " on " + device) + (force->index.empty() ? "" : ", " + force->index);
}

std::string calibration_name(const SetUp& set_up) {
    const ChannelSetUp* force = find_channel(set_up, Measure::force);
    return force == nullptr || force->calibration.empty() ? "no certificate" : force->calibration;
}

// Least squares over the straight part of the wind-up: from three to eight tenths of the release, screw going on.
std::optional<double> loading_slope(const Evidence& e) {
    constexpr double from = 0.3, to = 0.8;
    constexpr int least_points = 5;
    double n = 0, x = 0, y = 0, xx = 0, xy = 0, farthest = -1;
    for (const TracePoint& p : e.trace.points) {
        if (p.force_N > to * e.release_N) break;
        const double mm = p.turns * e.set_up.pitch_mm;
        if (mm <= farthest) continue;
        farthest = mm;
        if (p.force_N < from * e.release_N) continue;
        n += 1, x += mm, y += p.force_N, xx += mm * mm, xy += mm * p.force_N;
    }
    const double spread = n * xx - x * x;
    if (n < least_points || !(spread > 0)) return {};
    const double slope = (n * xy - x * y) / spread;
    return slope > 0 ? std::optional(slope) : std::nullopt;
}

// The friction at which a grip of um gives the force; the grip's force rises with friction.
double friction_for(const FrozenGrip& grip, double um, double force_N) {
    double low = 1e-4, high = 3;
    for (int i = 0; i < 60; ++i) {
        const double middle = std::sqrt(low * high);
        (um * grip.at(middle) < force_N ? low : high) = middle;
    }
    return std::sqrt(low * high);
}

void take_expected(TrendJob& out, const Band& expected) {
    if (!(expected.mid > 0)) return;
    out.expected_low = expected.low / expected.mid;
    out.expected_high = expected.high / expected.mid;
}

void take_from_curve(TrendJob& out, const ReadAgain& read, Charted charted) {
    const Evidence& e = read.evidence;
    switch (charted) {
        case Charted::loading_slope:
            if (!e.released) out.why_not = "the ring did not break loose";
            else if (!(out.value = loading_slope(e))) out.why_not = "too few readings while the press wound up";
            return;
        case Charted::over_sliding:
            out.value = read.review.fit.over_sliding;
            if (!out.value) out.why_not = read.review.fit.known ? "no sliding force was seen" : read.review.fit.why_not;
            return;
        default: break;
    }
    const auto grip = frozen_grip(e.set_up, Knowing::at_first);
    if (!read.review.fit.known || !grip) {
        out.why_not = read.review.fit.known ? "this job's set-up does not keep the seat's grip" : read.review.fit.why_not;
        return;
    }
    const double force_N = read.review.fit.force_N;
    if (charted == Charted::driving) {
        const Band expected = expected_at_first(e.set_up);
        if (expected.mid > 0) out.value = force_N / expected.mid;
        else out.why_not = "no force was expected of this job";
        return take_expected(out, expected);
    }
    if (charted == Charted::interference) {
        out.value = force_N / grip->at(grip->friction_band.mid);
        out.expected_low = grip->interference_um.low;
        out.expected_high = grip->interference_um.high;
    } else if (grip->interference_um.mid > 0) {
        out.value = friction_for(*grip, grip->interference_um.mid, force_N);
        out.expected_low = grip->friction_band.low;
        out.expected_high = grip->friction_band.high;
    } else out.why_not = "a loose fit was expected, for which no force speaks of friction";
}

void take_from_judgement(TrendJob& out, const JudgedFigures& figures, const SetUp& set_up, Charted charted) {
    if (charted == Charted::contact) {
        out.value = figures.contact_turns;
        if (!out.value) out.why_not = "no contact was seen";
        return;
    }
    if (!figures.break_loose_N) {
        out.why_not = "the ring did not break loose";
        return;
    }
    if (charted == Charted::release_turns) {
        out.value = figures.break_loose_turns;
        if (!out.value) out.why_not = "turns were not read";
        return;
    }
    const Band expected = expected_at_first(set_up);
    if (expected.mid > 0) out.value = *figures.break_loose_N / expected.mid;
    else out.why_not = "no force was expected of this job";
    take_expected(out, expected);
}

TrendJob read_job(record::Store& store, const record::JobRow& row, Charted charted) {
    TrendJob out;
    out.number = row.number;
    out.job_id = row.job_id;
    out.started_utc_ms = row.started_utc_ms;
    out.rig = row.rig;
    out.who = row.who;
    try {
        const PastJob past = read_past_job(store, row);
        out.family = family_name(past);
        out.instrument = instrument_name(past.set_up);
        out.calibration = calibration_name(past.set_up);
        const auto judgements = record::read_judgements(store, row.number);
        if (!past.set_aside.empty()) out.why_not = past.set_aside;
        else if (row.call == "cant-tell") out.why_not = "its call is can't tell: the instruments were in doubt";
        else if (judgements.empty())
            out.why_not = "it was never judged; halfturn rejudge " + std::to_string(row.number) + " --keep does it";
        else if (charted_info(charted).from_curve)
            read_again(store, past, [&](const ReadAgain& read) { take_from_curve(out, read, charted); });
        else take_from_judgement(out, figures_from_judgement(judgements.back().judged.json), past.set_up, charted);
    } catch (const BadInput& problem) {
        out.why_not = problem.what();
    } catch (const Failure& problem) {
        out.why_not = problem.what();
    }
    return out;
}

}  // namespace

StoreTrend trend_of_store(record::Store& store, const TrendQuestion& question, const TrendPick& pick) {
    StoreTrend out;
    std::vector<TrendJob> jobs;
    record::JobFilter filter;
    filter.most = pick.most;
    for (const record::JobRow& row : record::list_jobs(store, filter)) {
        if (row.work != question.work || row.state == record::JobState::running) continue;
        if (row.practice != pick.practice) ++out.passed_over;
        else jobs.push_back(read_job(store, row, question.charted));
    }
    out.trend = trend_of(std::move(jobs), question);
    if (pick.only.empty()) return out;
    std::erase_if(out.trend.charts, [&](const TrendChart& chart) { return chart.group != pick.only; });
    std::erase_if(out.trend.left_out, [&](const TrendLeftOut& one) { return one.group != pick.only; });
    return out;
}

}  // namespace halfturn::review
