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

namespace {

// Flags that stand so close together that they share their words.
struct Group {
    std::vector<Point> on;  // from left to right
    std::string words, last_kind;
    double from = 0, to = 0;  // where the words stand
    bool to_left = false;
    std::size_t row = 0;

    // "warning 1" and "warning 2" are "warning 1, 2".
    void add(const std::string& more) {
        const std::string kind = more.substr(0, more.find(' ') + 1);
        const bool same = !kind.empty() && kind == last_kind;
        words += (words.empty() ? "" : ", ") + (same ? more.substr(kind.size()) : more);
        last_kind = kind;
    }
    bool covers(double x) const { return x > from - 0.5 && x < to + 0.5; }
    // In these rows neither's words would touch the other's words or its lines, which go from the curve up to its row.
    bool beside(const Group& other) const {
        constexpr double between = 1.5;
        if (row == other.row && from < other.to + between && other.from < to + between) return false;
        const auto crosses = [](const Group& lines, const Group& text) {
            return text.row <= lines.row &&
                   std::any_of(lines.on.begin(), lines.on.end(), [&](const Point& point) { return text.covers(point.x_mm); });
        };
        return !crosses(*this, other) && !crosses(other, *this);
    }
};

// From the right, as the words stand to the right of their line: each in the lowest row where it is beside all others.
bool put_in_rows(std::vector<Group>& groups, std::size_t rows) {
    for (std::size_t i = groups.size(); i-- > 0;) {
        Group& group = groups[i];
        const auto fits = [&] {
            return std::all_of(groups.begin() + static_cast<std::ptrdiff_t>(i) + 1, groups.end(),
                               [&](const Group& other) { return group.beside(other); });
        };
        for (group.row = 0; !fits(); ++group.row)
            if (group.row + 1 >= rows) return false;
    }
    return true;
}

}  // namespace

void Chart::flags() {
    std::stable_sort(flags_.begin(), flags_.end(), [](const Flag& a, const Flag& b) { return a.at.x < b.at.x; });
    const auto rows = static_cast<std::size_t>(std::max(1.0, size_.flags_mm / row_mm));
    std::vector<Group> groups;
    // What finds no room of its own shares its words with its neighbour.
    for (double close_mm = 0.9; close_mm < size_.width_mm; close_mm *= 1.5) {
        groups.clear();
        for (const Flag& flag : flags_) {
            const Point on = place(flag.at);
            if (groups.empty() || on.x_mm - groups.back().on.back().x_mm > close_mm) groups.emplace_back();
            groups.back().add(flag.words);
            groups.back().on.push_back(on);
        }
        for (Group& group : groups) {
            const double width = wide(group.words);
            group.from = group.on.back().x_mm + 0.7;
            group.to_left = group.from + width > size_.width_mm && group.on.front().x_mm > width + 0.7;
            if (group.to_left) group.from = group.on.front().x_mm - 0.7 - width;
            group.to = group.from + width;
        }
        if (put_in_rows(groups, rows)) break;
    }
    for (const Group& group : groups) {
        const double y = top_ - 1.4 - row_mm * static_cast<double>(group.row);
        for (const Point& on : group.on) {
            outside_.push_back({Path{{on, {on.x_mm, y - text_mm - 0.3}}, Line::thin, false, 0}});
            outside_.push_back({Disc{on, 0.75, 1, Line::thin}});
        }
        outside_.push_back(
            {Words{{group.to_left ? group.to : group.from, y}, group.words, text_mm, group.to_left ? Align::right : Align::left}});
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
