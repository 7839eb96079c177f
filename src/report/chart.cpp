#include "report/chart.hpp"

#include <algorithm>
#include <cmath>

#include "core/number_text.hpp"

namespace halfturn::report {
namespace {

using namespace sheet;

constexpr double text_mm = 2.1, tick_mm = 1.2, band_grey = 0.85;
constexpr double wide_of_letter = 0.78;  // of the capitals' height, on average
constexpr double row_mm = 3.8;           // of flags
constexpr double same_place_mm = 0.12;

double wide(const std::string& words) { return static_cast<double>(words.size()) * text_mm * wide_of_letter; }

int decimals_of(double step) { return std::clamp(static_cast<int>(std::ceil(-std::log10(step) - 1e-9)), 0, 9); }

}  // namespace

double round_step(double size, int wanted) {
    if (!(size > 0) || !std::isfinite(size)) return 1;
    const double rough = size / wanted, power = std::pow(10, std::floor(std::log10(rough)));
    for (const double times : {1.0, 2.0, 5.0})
        if (times * power >= rough * (1 - 1e-9)) return times * power;
    return 10 * power;
}

Chart::Chart(Size size) : size_(std::move(size)) {
    if (!(size_.x.to > size_.x.from)) size_.x.to = size_.x.from + 1;
    if (!(size_.y.to > size_.y.from)) size_.y.to = size_.y.from + 1;
    left_ = 15;
    right_ = size_.width_mm - 4;
    top_ = 2 + size_.flags_mm;
    bottom_ = size_.height_mm - 15;
    key_x_ = left_;
}

Point Chart::place(At at) const {
    const double x = left_ + (at.x - size_.x.from) / (size_.x.to - size_.x.from) * (right_ - left_);
    const double y = bottom_ - (at.y - size_.y.from) / (size_.y.to - size_.y.from) * (bottom_ - top_);
    constexpr double far_mm = 2000;  // beyond the paper all is alike
    return {std::clamp(x, -far_mm, far_mm), std::clamp(y, -far_mm, far_mm)};
}

void Chart::band(const std::vector<BandAt>& points) {
    if (points.size() < 2) return;
    Area area;
    std::vector<Point> low, high;
    for (const BandAt& at : points) {
        high.push_back(place({at.x, at.high}));
        low.push_back(place({at.x, at.low}));
    }
    area.outline = high;
    area.outline.insert(area.outline.end(), low.rbegin(), low.rend());
    area.grey = band_grey;
    area.line = Line::none;
    inside_.push_back({std::move(area)});
    inside_.push_back({Path{std::move(high), Line::thin, false, 0}});
    inside_.push_back({Path{std::move(low), Line::thin, false, 0}});
}

void Chart::line(const std::vector<At>& points, Line line) {
    Path path;
    path.line = line;
    // A run of points in one upright strip: first, lowest, highest and last say all that can be seen.
    std::vector<Point> run;
    const auto end_run = [&] {
        if (run.empty()) return;
        const auto by_y = [](const Point& a, const Point& b) { return a.y_mm < b.y_mm; };
        auto [one, other] = std::minmax_element(run.begin(), run.end(), by_y);
        if (other < one) std::swap(one, other);
        std::vector<Point> kept = {run.front(), *one, *other, run.back()};
        for (const Point& point : kept)
            if (path.points.empty() || std::hypot(point.x_mm - path.points.back().x_mm, point.y_mm - path.points.back().y_mm) > 0.02)
                path.points.push_back(point);
        run.clear();
    };
    for (const At& at : points) {
        const Point point = place(at);
        if (!run.empty() && std::abs(point.x_mm - run.front().x_mm) > same_place_mm) end_run();
        run.push_back(point);
    }
    end_run();
    if (path.points.size() > 1) inside_.push_back({std::move(path)});
}

void Chart::level(double y, const std::string& words) {
    if (y < size_.y.from || y > size_.y.to) return;
    const double at = place({size_.x.from, y}).y_mm;
    inside_.push_back({Path{{{left_, at}, {right_, at}}, Line::dashed, false, 0}});
    outside_.push_back({Words{{right_ - 1, at - 0.8}, words, text_mm, Align::right}});
}

void Chart::flag(At at, const std::string& words) {
    if (at.x < size_.x.from || at.x > size_.x.to) return;
    flags_.push_back({{at.x, std::clamp(at.y, size_.y.from, size_.y.to)}, words});
}

// Each in the lowest row where it does not touch another's words.
void Chart::flags() {
    std::stable_sort(flags_.begin(), flags_.end(), [](const Flag& a, const Flag& b) { return a.at.x < b.at.x; });
    const int rows = std::max(1, static_cast<int>(size_.flags_mm / row_mm));
    std::vector<double> taken(static_cast<std::size_t>(rows), -1e9);
    for (const Flag& flag : flags_) {
        const Point on = place(flag.at);
        const double width = wide(flag.words);
        const bool to_left = on.x_mm + width + 1 > size_.width_mm;
        const double from = to_left ? on.x_mm - width - 1 : on.x_mm;
        std::size_t row = 0;
        while (row + 1 < taken.size() && taken[row] > from) ++row;
        taken[row] = from + width + 2.5;
        const double y = top_ - 1.4 - row_mm * static_cast<double>(row);
        outside_.push_back({Path{{on, {on.x_mm, y - text_mm - 0.3}}, Line::thin, false, 0}});
        outside_.push_back({Disc{on, 0.75, 1, Line::thin}});
        outside_.push_back(
            {Words{{to_left ? on.x_mm - 0.7 : on.x_mm + 0.7, y}, flag.words, text_mm, to_left ? Align::right : Align::left}});
    }
}

void Chart::key(Line line, const std::string& words) {
    const double y = size_.height_mm - 2.5;
    outside_.push_back({Path{{{key_x_, y - 0.8}, {key_x_ + 7, y - 0.8}}, line, false, 0}});
    outside_.push_back({Words{{key_x_ + 8.5, y}, words, text_mm}});
    key_x_ += 14 + wide(words);
}

void Chart::key_band(const std::string& words) {
    const double y = size_.height_mm - 2.5;
    outside_.push_back({Area{box({key_x_, y - 2.4}, {key_x_ + 7, y + 0.4}), {}, band_grey, {}, Line::thin}});
    outside_.push_back({Words{{key_x_ + 8.5, y}, words, text_mm}});
    key_x_ += 14 + wide(words);
}

void Chart::axes() {
    const auto ticks = [](const Axis& axis, int wanted, auto put) {
        const double step = round_step(axis.to - axis.from, wanted);
        for (double at = std::ceil(axis.from / step - 1e-9) * step; at <= axis.to + step * 1e-9; at += step)
            put(at, fixed_text(std::abs(at) < step / 2 ? 0 : at, decimals_of(step)));
    };
    ticks(size_.x, 8, [&](double at, const std::string& words) {
        const double x = place({at, 0}).x_mm;
        outside_.push_back({Path{{{x, bottom_}, {x, bottom_ + tick_mm}}, Line::thin, false, 0}});
        outside_.push_back({Words{{x, bottom_ + tick_mm + 3}, words, text_mm, Align::centre}});
    });
    ticks(size_.y, 5, [&](double at, const std::string& words) {
        const double y = place({0, at}).y_mm;
        outside_.push_back({Path{{{left_ - tick_mm, y}, {left_, y}}, Line::thin, false, 0}});
        outside_.push_back({Words{{left_ - tick_mm - 0.8, y + text_mm / 2}, words, text_mm, Align::right}});
    });
    outside_.push_back({Words{{right_, bottom_ + tick_mm + 6.8}, size_.x.title, text_mm, Align::right}});
    outside_.push_back({Words{{3, (top_ + bottom_) / 2}, size_.y.title, text_mm, Align::centre, false, true}});
}

Drawing Chart::take(const std::string& says) {
    Drawing drawing{size_.width_mm, size_.height_mm, says, {}};
    drawing.shapes.push_back({Window{{left_, top_}, {right_, bottom_}, std::move(inside_)}});
    axes();
    flags();
    std::move(outside_.begin(), outside_.end(), std::back_inserter(drawing.shapes));
    return drawing;
}

}  // namespace halfturn::report
