#include "curve/plot.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "core/number_text.hpp"

namespace halfturn::curve {

namespace {

std::string right(const std::string& text, std::size_t width) {
    return text.size() < width ? std::string(width - text.size(), ' ') + text : text;
}

}  // namespace

double round_up(double value) {
    if (!(value > 0)) return 1;
    const double decade = std::pow(10.0, std::floor(std::log10(value)));
    for (const double step : {1.0, 2.0, 2.5, 5.0})
        if (value <= step * decade * 1.0001) return step * decade;
    return 10 * decade;
}

CurvePoint curve_at(const std::vector<CurvePoint>& curve, double turns) {
    const auto after = std::upper_bound(curve.begin(), curve.end(), turns,
                                        [](double t, const CurvePoint& point) { return t < point.turns; });
    if (after == curve.begin()) return curve.front();
    if (after == curve.end()) return curve.back();
    const CurvePoint& a = *(after - 1);
    const double t = (turns - a.turns) / (after->turns - a.turns);
    return {turns, a.low_N + t * (after->low_N - a.low_N), a.mid_N + t * (after->mid_N - a.mid_N),
            a.high_N + t * (after->high_N - a.high_N)};
}

std::string plot_band(const std::vector<CurvePoint>& curve, double from_turns, double to_turns,
                      PlotSize size) {
    std::vector<CurvePoint> columns;
    double highest = 0;
    for (int c = 0; c < size.columns; ++c) {
        columns.push_back(curve_at(curve, from_turns + (to_turns - from_turns) * (c + 0.5) / size.columns));
        highest = std::max(highest, columns.back().high_N);
    }
    const double top = round_up(highest);
    const double step = top / size.rows;
    std::string out;
    for (int row = size.rows - 1; row >= 0; --row) {
        const double low = row * step, high = low + step;
        const bool labelled = row == size.rows - 1 || row == size.rows / 2 - 1;
        out += labelled ? right(figures_text(high, 3), 7) + " \u2524" : "        \u2502";
        for (const auto& c : columns) {
            if (c.mid_N >= low && c.mid_N < high && c.high_N > 0)
                out += "\u2588";
            else if (c.high_N > low && c.low_N < high && c.high_N > 0)
                out += "\u2591";
            else
                out += " ";
        }
        out += "\n";
    }
    out += "      0 \u2514";
    for (int c = 0; c < size.columns; ++c) out += "\u2500";
    const std::string from = fixed_text(from_turns, 2), middle = fixed_text((from_turns + to_turns) / 2, 2),
                      to = fixed_text(to_turns, 2);
    std::string axis = from;
    const auto wide = static_cast<std::size_t>(size.columns);
    for (const auto& [text, end] :
         {std::pair{middle, (wide + middle.size()) / 2}, std::pair{to + " turns", wide}})
        axis += right(text, end > axis.size() ? end - axis.size() : text.size() + 1);
    out += "\n         " + axis + "\n";
    return out;
}

}  // namespace halfturn::curve
