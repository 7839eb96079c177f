#include "samples/pyramid.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace halfturn::samples {
namespace {

constexpr double infinity = std::numeric_limits<double>::infinity();
constexpr unsigned steps_a_page = 65534;  // FFFF is left for "no sample"

void put(std::string& out, unsigned number) {
    out += static_cast<char>(number >> 8 & 0xFF);
    out += static_cast<char>(number & 0xFF);
}

}  // namespace

Ground ground_for(Instant first_ns, Instant last_ns, std::int64_t samples) {
    if (samples < fewest_for_pyramid || last_ns <= first_ns) return {};
    Ground ground{first_ns, std::max<Instant>(1, (last_ns - first_ns) / (samples / samples_a_bucket)), 1};
    for (Instant width = ground.width_ns; (last_ns - first_ns) / width >= buckets_a_page; ++ground.levels) width *= level_factor;
    return ground;
}

PyramidBuilder::PyramidBuilder(const Ground& ground, PageSink pages)
    : ground_(ground), pages_(std::move(pages)), levels_(static_cast<std::size_t>(ground.levels)) {}

void PyramidBuilder::add(Instant at_ns, double value) {
    if (levels_.empty() || !std::isfinite(value)) return;
    Level& lowest = levels_[0];
    const std::int64_t bucket = (at_ns - ground_.first_ns) / ground_.width_ns;
    if (bucket == lowest.bucket) {
        if (value < lowest.now.low) lowest.now.low = value;
        if (value > lowest.now.high) lowest.now.high = value;
    } else merge(0, bucket, {value, value});
}

void PyramidBuilder::merge(std::size_t number, std::int64_t bucket, Range range) {
    Level& level = levels_[number];
    if (bucket != level.bucket) {
        close_bucket(number);
        level.bucket = bucket;
        level.now = range;
    } else level.now = {std::min(level.now.low, range.low), std::max(level.now.high, range.high)};
}

void PyramidBuilder::close_bucket(std::size_t number) {
    Level& level = levels_[number];
    if (level.bucket < 0) return;
    if (const std::int64_t page = level.bucket / buckets_a_page; page != level.page) {
        close_page(number);
        level.page = page;
    }
    level.ranges.resize(static_cast<std::size_t>(level.bucket % buckets_a_page), {infinity, -infinity});
    level.ranges.push_back(level.now);
    if (number + 1 < levels_.size()) merge(number + 1, level.bucket / level_factor, level.now);
    level.bucket = -1;
}

void PyramidBuilder::close_page(std::size_t number) {
    Level& level = levels_[number];
    if (level.ranges.empty()) return;
    Page page;
    page.level = static_cast<int>(number);
    page.number = level.page;
    page.width_ns = ground_.width_ns;
    for (std::size_t i = 0; i < number; ++i) page.width_ns *= level_factor;
    page.first_ns = ground_.first_ns + level.page * buckets_a_page * page.width_ns;
    double low = infinity, high = -infinity;
    for (const Range& range : level.ranges) {
        low = std::min(low, range.low);
        high = std::max(high, range.high);
    }
    page.base = low;
    page.step = high / steps_a_page - low / steps_a_page;
    while (low + page.step * steps_a_page < high) page.step = std::nextafter(page.step, infinity);
    const auto value_of = [&](unsigned q) { return page.base + q * page.step; };
    for (const Range& range : level.ranges) {
        if (range.low > range.high) {
            put(page.packed, 0xFFFF);
            put(page.packed, 0);
            continue;
        }
        const auto nearest = [&](double value) {
            return page.step > 0 ? static_cast<unsigned>(std::clamp((value - low) / page.step, 0.0, double{steps_a_page})) : 0u;
        };
        unsigned down = nearest(range.low), up = nearest(range.high);
        while (down > 0 && value_of(down) > range.low) --down;
        while (up < steps_a_page && value_of(up) < range.high) ++up;
        put(page.packed, down);
        put(page.packed, up);
    }
    level.ranges.clear();
    pages_(page);
}

void PyramidBuilder::end() {
    for (std::size_t number = 0; number < levels_.size(); ++number) {
        close_bucket(number);
        close_page(number);
    }
}

}  // namespace halfturn::samples
