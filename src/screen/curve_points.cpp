#include "screen/curve_points.hpp"

#include <algorithm>
#include <cmath>

#include "core/json_writer.hpp"

namespace halfturn::screen {
namespace {

// To so many parts of one; dividing last gives the double nearest the short decimal.
double rounded(double value, double parts) { return std::round(value * parts) / parts; }

}  // namespace

void CurvePoints::add(double t_s, std::optional<double> turns, double force_N) {
    // The turn in which contact is made, or a reading that came back, starts a point of its own.
    const bool same_span = !points_.empty() && t_s - points_.back().t_s < span_s_ && points_.back().turns.has_value() == turns.has_value();
    if (same_span) {
        points_.back().low_N = std::min(points_.back().low_N, force_N);
        points_.back().high_N = std::max(points_.back().high_N, force_N);
        return;
    }
    if (points_.size() >= most_points) halve();
    points_.push_back({t_s, force_N, force_N, turns});
}

void CurvePoints::halve() {
    span_s_ *= 2;
    std::vector<Point> out;
    for (const Point& p : points_) {
        if (!out.empty() && p.t_s - out.back().t_s < span_s_ && out.back().turns.has_value() == p.turns.has_value()) {
            out.back().low_N = std::min(out.back().low_N, p.low_N);
            out.back().high_N = std::max(out.back().high_N, p.high_N);
        } else {
            out.push_back(p);
        }
    }
    // Readings farther apart than the span would not merge: then every other pair does.
    if (out.size() >= most_points) {
        for (std::size_t i = 0; i + 1 < out.size(); i += 2)
            out[i / 2] = {out[i].t_s, std::min(out[i].low_N, out[i + 1].low_N), std::max(out[i].high_N, out[i + 1].high_N), out[i].turns};
        out.resize(out.size() / 2);
    }
    points_ = std::move(out);
}

std::string CurvePoints::json(const SetUp& set_up) const {
    JsonWriter json;
    json.object().key("expected").array();
    for (const CurvePoint& p : set_up.curve)
        json.array()
            .number(rounded(p.turns, 1e4))
            .number(rounded(p.low_N, 10))
            .number(rounded(p.mid_N, 10))
            .number(rounded(p.high_N, 10))
            .end();
    json.end().key("points").array();
    for (const Point& p : points_) {
        json.array().number(rounded(p.t_s, 1e3));
        if (p.turns) json.number(rounded(*p.turns, 1e4));
        else json.null();
        json.number(rounded(p.low_N, 10)).number(rounded(p.high_N, 10)).end();
    }
    json.end().put("limit_N", set_up.force_limit_N).put("half_turn", set_up.half_turn).end();
    return json.take();
}

}  // namespace halfturn::screen
