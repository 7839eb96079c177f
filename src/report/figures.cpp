#include "report/figures.hpp"

#include <algorithm>
#include <cmath>

#include "core/number_text.hpp"
#include "report/chart.hpp"
#include "watch/rule.hpp"

namespace halfturn::report {
namespace {

using namespace sheet;

struct Curve {
    std::vector<Chart::At> points;
    std::size_t peak = 0;
    bool turns = false;     // else x is seconds
    double start_s = 0;     // of the time axis
};

Curve curve_of(const JobFacts& facts) {
    Curve curve;
    const double contact = facts.judged.now.contact_turns.value_or(0);
    curve.turns = std::any_of(facts.samples.begin(), facts.samples.end(),
                              [](const Sample& sample) { return sample.screw_known && sample.force_known; });
    for (const Sample& sample : facts.samples) {
        if (!sample.force_known || (curve.turns && !sample.screw_known)) continue;
        const double x = curve.turns ? sample.turns - contact : seconds(sample.at);
        if (!curve.points.empty() && sample.force_N > curve.points[curve.peak].y) curve.peak = curve.points.size();
        curve.points.push_back({x, sample.force_N});
    }
    return curve;
}

Axis force_axis(const JobFacts& facts, const Curve& curve, double to) {
    double highest = 1, lowest = 0;
    for (const auto& at : curve.points) highest = std::max(highest, at.y), lowest = std::min(lowest, at.y);
    const double measured = highest;
    for (const CurvePoint& point : facts.judged.set_up.curve)
        if (curve.turns && point.turns <= to) highest = std::max(highest, std::min(point.high_N, 2.5 * measured));
    highest *= 1.06;
    return {lowest < -0.03 * highest ? lowest * 1.06 : 0, highest, "force, N"};
}

void put_flags(Chart& chart, const JobFacts& facts, const Curve& curve) {
    const Judgement& now = facts.judged.now;
    const auto x_of = [&](double turns, Instant at) { return curve.turns ? turns : seconds(at); };
    if (curve.turns && now.contact_turns) chart.flag({0, 0}, "contact");
    std::string peak = "peak " + newtons(now.peak_N);
    if (now.break_loose) {
        const BreakLoose& b = *now.break_loose;
        const bool same = std::abs(b.force_N - now.peak_N) < 0.005 * now.peak_N;
        chart.flag({x_of(b.turns_from_contact, b.at), b.force_N}, (same ? "break-loose and peak " : "break-loose ") + newtons(b.force_N));
        if (same) peak.clear();
    }
    if (!peak.empty() && !curve.points.empty()) chart.flag({curve.points[curve.peak].x, curve.points[curve.peak].y}, peak);
    for (std::size_t i = 0; i < now.warnings.size(); ++i)
        chart.flag({x_of(now.warnings[i].turns, now.warnings[i].at), now.warnings[i].force_N}, "warning " + std::to_string(i + 1));
}

}  // namespace

std::optional<Drawing> curve_figure(const JobFacts& facts, double width_mm) {
    const Curve curve = curve_of(facts);
    if (curve.points.size() < 2) return {};
    double from = curve.points.front().x, to = from;
    for (const auto& at : curve.points) from = std::min(from, at.x), to = std::max(to, at.x);
    // What came long before contact is of no account here.
    if (curve.turns) from = std::max(from, -0.12 * std::max(to, 0.05));
    const double room = 0.02 * std::max(to - from, 0.01);
    Chart chart({width_mm,
                 92,
                 {from - (curve.turns ? 0 : room), to + room,
                  !curve.turns                     ? "time, s"
                  : facts.judged.now.contact_turns ? "turns of the screw from contact"
                                                   : "turns of the screw"},
                 force_axis(facts, curve, to),
                 facts.judged.now.warnings.empty() ? 8.5 : 15});
    const auto& expected = facts.judged.set_up.curve;
    const bool band = curve.turns && expected.size() > 1;
    if (band) {
        std::vector<Chart::BandAt> edges;
        std::vector<Chart::At> middle;
        for (const CurvePoint& point : expected) {
            edges.push_back({point.turns, point.low_N, point.high_N});
            middle.push_back({point.turns, point.mid_N});
        }
        chart.band(edges);
        chart.line(middle, Line::dashed);
    }
    chart.line(curve.points, Line::thick);
    if (facts.judged.set_up.force_limit_N > 0) chart.level(facts.judged.set_up.force_limit_N, "the rig's limit");
    put_flags(chart, facts, curve);
    chart.key(Line::thick, "measured");
    if (band) {
        chart.key_band("expected, 95 in 100");
        chart.key(Line::dashed, "most likely");
    }
    return chart.take("Force " + std::string(curve.turns ? "over turns of the screw" : "over time") + ", measured" +
                      (band ? " and expected" : "") + "; peak " + newtons(facts.judged.now.peak_N));
}

std::optional<Drawing> profile_figure(const review::SeatProfile& profile, double width_mm) {
    if (!profile.drawable()) return {};
    double highest = 1.5;
    for (const auto& point : profile.points) highest = std::max(highest, std::min({point.high, 1.6 * point.relative, 4.0}));
    const double length = profile.points.back().depth_mm + profile.points.front().depth_mm;
    Chart chart({width_mm, 56, {0, length, "depth from the mouth, mm"}, {0, highest * 1.05, "grip over its mean"}, 0});
    std::vector<Chart::BandAt> edges;
    std::vector<Chart::At> middle;
    for (const auto& point : profile.points) {
        edges.push_back({point.depth_mm, std::max(0.0, point.low), point.high});
        middle.push_back({point.depth_mm, point.relative});
    }
    chart.band(edges);
    chart.line(middle, Line::thick);
    chart.level(1, "mean");
    chart.key(Line::thick, "read from the curve");
    chart.key_band("where it may lie, 95 in 100");
    return chart.take("Grip along the depth of the seat: " + profile.says);
}

}  // namespace halfturn::report
