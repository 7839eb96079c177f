// The lowest and highest of a channel's judged values over equal spans of time, at several widths: enough to draw any
// stretch of a long job without reading its samples. Level 0 has about 16 samples a bucket, each further level is four times
// as wide, and the last has one page. Every bucket's range is rounded outwards, by at most 1/65534 of its page's range: no
// peak is lost.
#pragma once

#include <cstdint>
#include <functional>
#include <string>
#include <string_view>
#include <vector>

#include "core/event.hpp"

namespace halfturn::samples {

constexpr std::int64_t buckets_a_page = 1000;  // 4000 bytes: one row fills one page of the file
constexpr std::int64_t level_factor = 4;
constexpr std::int64_t samples_a_bucket = 16;
// A channel of fewer samples has no pyramid: reading them all is as quick.
constexpr std::int64_t fewest_for_pyramid = 16384;

struct Page {
    int level = 0;
    std::int64_t number = 0;     // of the page in its level, from 0; a page without any sample is left out
    Instant first_ns = 0;        // where its first bucket begins
    Instant width_ns = 0;        // of a bucket
    double base = 0, step = 0;   // a packed number q stands for base + q * step
    std::string packed;          // for each bucket: u16 lowest, u16 highest, high byte first; FFFF 0000 where no sample lies
};

// Where the lowest level's buckets lie: from the first sample on, `samples_a_bucket` of the usual gaps wide.
struct Ground {
    Instant first_ns = 0, width_ns = 0;
    int levels = 0;              // 0: no pyramid
};
Ground ground_for(Instant first_ns, Instant last_ns, std::int64_t samples);

class PyramidBuilder {
public:
    using PageSink = std::function<void(const Page&)>;
    PyramidBuilder(const Ground& ground, PageSink pages);
    void add(Instant at_ns, double value);  // in order of time; values that are not finite are left out
    void end();

private:
    struct Range { double low, high; };
    struct Level {
        std::int64_t bucket = -1;      // being filled; -1: none yet
        Range now;
        std::int64_t page = -1;
        std::vector<Range> ranges;
    };
    void merge(std::size_t level, std::int64_t bucket, Range range);
    void close_bucket(std::size_t level);
    void close_page(std::size_t level);

    const Ground ground_;
    PageSink pages_;
    std::vector<Level> levels_;
};

// A stored page, read where it lies.
struct PageView {
    Instant first_ns = 0, width_ns = 0;
    double base = 0, step = 0;
    std::string_view packed;

    bool whole() const { return width_ns > 0 && packed.size() % 4 == 0 && packed.size() <= 4 * buckets_a_page; }

    // Calls `sink` with (first_ns, low, high) of each bucket that holds a sample and touches from_ns … to_ns. The page must be
    // whole.
    template <class Sink>
    void for_each(Sink sink, Instant from_ns, Instant to_ns) const {
        const auto buckets = static_cast<std::int64_t>(packed.size() / 4);
        const std::int64_t first = from_ns > first_ns ? (from_ns - first_ns) / width_ns : 0;
        for (std::int64_t i = first; i < buckets; ++i) {
            const Instant at_ns = first_ns + i * width_ns;
            if (at_ns >= to_ns) return;
            const unsigned low = number(4 * static_cast<std::size_t>(i)), high = number(4 * static_cast<std::size_t>(i) + 2);
            if (low <= high) sink(at_ns, base + low * step, base + high * step);
        }
    }

private:
    unsigned number(std::size_t at) const {
        return static_cast<unsigned>(static_cast<unsigned char>(packed[at])) << 8 | static_cast<unsigned char>(packed[at + 1]);
    }
};

}  // namespace halfturn::samples
