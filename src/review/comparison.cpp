#include "review/comparison.hpp"

#include <algorithm>
#include <cmath>

#include "core/failure.hpp"
#include "core/number_text.hpp"

namespace halfturn::review {
namespace {

constexpr double other_certificate_share = 0.01;
constexpr double chance_share = 0.05;
constexpr double least_compared_share = 0.1;

// Force at a turn, and its doubt. Turns asked for must rise from call to call.
class Reader {
public:
    Reader(const PullCurve& curve, double shift, double place_turns) : curve_(curve), shift_(shift), place_(place_turns) {}

    struct Read {
        double force_N, u_N;
    };
    std::optional<Read> at(double turns) {
        const auto& points = curve_.points;
        const double wanted = turns + shift_;
        while (next_ < points.size() && points[next_].turns < wanted) ++next_;
        if (next_ == points.size() || (next_ == 0 && points[0].turns > wanted)) return {};
        if (next_ == 0) next_ = 1;
        if (next_ >= points.size()) return {};
        const auto &a = points[next_ - 1], &b = points[next_];
        const double gap = b.turns - a.turns;
        if (gap > widest_gap_turns) return {};
        const double step_N = b.force_N - a.force_N, slope = gap > 0 ? step_N / gap : 0;
        // Beyond the gap itself a turn's doubt reaches into the neighbours: the slope there is what counts.
        const double u_turn2 = (curve_.step_turns * curve_.step_turns + place_ * place_) / 12;
        const double u2 =
            curve_.noise_N * curve_.noise_N + curve_.step_N * curve_.step_N / 12 + step_N * step_N / 12 + slope * slope * u_turn2;
        return Read{a.force_N + slope * (wanted - a.turns), std::sqrt(u2)};
    }

private:
    const PullCurve& curve_;
    double shift_, place_;
    std::size_t next_ = 0;
};

// How far apart the readings are around this turn.
double gap_at(const PullCurve& curve, double turns) {
    for (std::size_t i = 1; i < curve.points.size(); ++i)
        if (curve.points[i].turns >= turns) return curve.points[i].turns - curve.points[i - 1].turns;
    return 0;
}

void need_comparable(const std::vector<PullCurve>& curves, Align align) {
    if (curves.size() < 2) throw BadInput("a comparison needs two jobs or more");
    if (curves.size() > most_compared) throw BadInput("at most " + std::to_string(most_compared) + " jobs can be laid over one another");
    for (const PullCurve& curve : curves) {
        if (curve.work != curves.front().work)
            throw BadInput(curves.front().label + " and " + curve.label +
                           " are not of one kind: one took a bearing out, the other put one in");
        if (curve.points.size() < 2) throw BadInput(curve.label + " has no curve of force against turns to compare");
        if (align == Align::release && !curve.release_turns)
            throw BadInput(curve.label + " never broke loose, so it can't be laid over others at the release: use contact");
    }
}

void set_against(ComparedJob& job, const ComparedJob& first, bool other_certificate, const std::vector<double>& turns, Align align) {
    std::size_t compared = 0, beyond = 0;
    double farthest = -1;
    for (std::size_t i = 0; i < turns.size(); ++i) {
        if (!job.force_N[i] || !first.force_N[i]) continue;
        const double difference = *job.force_N[i] - *first.force_N[i];
        const double scale =
            other_certificate ? other_certificate_share * std::max(std::fabs(*job.force_N[i]), std::fabs(*first.force_N[i])) : 0;
        const double U = 2 * std::sqrt(*job.u_N[i] * *job.u_N[i] + *first.u_N[i] * *first.u_N[i] + scale * scale);
        job.difference_N[i] = difference;
        job.U_N[i] = U;
        ++compared;
        beyond += std::fabs(difference) > U;
        const double times = U > 0 ? std::fabs(difference) / U : std::fabs(difference) > 0 ? 1e9 : 0;
        if (times <= farthest) continue;
        farthest = times;
        job.largest_N = difference;
        job.largest_U_N = U;
        job.largest_at_turns = turns[i];
    }
    job.compared_share = static_cast<double>(compared) / static_cast<double>(turns.size());
    job.share_beyond = compared > 0 ? static_cast<double>(beyond) / static_cast<double>(compared) : 0;
    if (job.compared_share < least_compared_share) {
        job.says = "Its curve and that of " + first.label + " hardly overlap: nothing can be said.";
        return;
    }
    if (job.share_beyond <= chance_share) {
        job.says = "No difference from " + first.label + " beyond the doubt.";
        return;
    }
    job.says = fixed_text(100 * job.share_beyond, 0) + " % of the curve differs from " + first.label +
               " by more than the doubt, most clearly " + fixed_text(job.largest_at_turns, 2) + " turn from " +
               std::string(align_name(align)) + ": " + (job.largest_N < 0 ? "lower" : "higher") + " by " +
               fixed_text(std::fabs(job.largest_N), 0) + " N, in doubt by " + fixed_text(job.largest_U_N, 0) + " N.";
}

}  // namespace

std::string_view align_name(Align align) { return align == Align::contact ? "contact" : "release"; }

std::optional<Align> align_from_name(std::string_view name) {
    for (const Align align : {Align::contact, Align::release})
        if (name == align_name(align)) return align;
    return {};
}

PullCurve curve_of(std::string label, const Evidence& evidence) {
    PullCurve curve;
    curve.label = std::move(label);
    curve.work = evidence.set_up.work;
    for (const TracePoint& p : evidence.trace.points)
        if (curve.points.empty() || p.turns > curve.points.back().turns) curve.points.push_back({p.turns, p.force_N});
    curve.noise_N = evidence.trace.force_noise_N;
    curve.step_N = evidence.trace.force_step_N;
    curve.step_turns = evidence.set_up.pitch_mm > 0 ? evidence.trace.turns_step_mm / evidence.set_up.pitch_mm : 0;
    if (evidence.released && evidence.judgement.break_loose) {
        curve.release_turns = evidence.judgement.break_loose->turns_from_contact;
        curve.release_N = evidence.release_N;
    }
    if (evidence.set_up.break_loose_N.mid > 0) curve.expected_N = evidence.set_up.break_loose_N.mid;
    curve.peak_N = evidence.judgement.peak_N;
    if (const ChannelSetUp* cell = find_channel(evidence.set_up, Measure::force)) curve.certificate = cell->calibration;
    return curve;
}

Comparison compare(const std::vector<PullCurve>& curves, Align align) {
    need_comparable(curves, align);
    Comparison out;
    out.align = align;
    double from = 1e300, to = -1e300;
    for (const PullCurve& curve : curves) {
        const double shift = align == Align::release ? *curve.release_turns : 0;
        from = std::min(from, curve.points.front().turns - shift);
        to = std::max(to, curve.points.back().turns - shift);
    }
    for (std::size_t i = 0; i < comparison_points; ++i)
        out.turns.push_back(from + (to - from) * static_cast<double>(i) / (comparison_points - 1));
    for (const PullCurve& curve : curves) {
        ComparedJob job;
        job.label = curve.label;
        job.shifted_turns = align == Align::release ? *curve.release_turns : 0;
        job.release_N = curve.release_N;
        job.expected_N = curve.expected_N;
        job.peak_N = curve.peak_N;
        Reader reader(curve, job.shifted_turns, gap_at(curve, job.shifted_turns));
        for (const double turns : out.turns) {
            const auto read = reader.at(turns);
            job.force_N.push_back(read ? std::optional(read->force_N) : std::nullopt);
            job.u_N.push_back(read ? std::optional(read->u_N) : std::nullopt);
        }
        job.difference_N.resize(out.turns.size());
        job.U_N.resize(out.turns.size());
        if (!out.jobs.empty())
            set_against(job, out.jobs.front(), curve.certificate.empty() || curve.certificate != curves.front().certificate,
                        out.turns, align);
        out.jobs.push_back(std::move(job));
    }
    return out;
}

}  // namespace halfturn::review
