#include "review/thinned_samples.hpp"

#include <utility>

namespace halfturn::review {

void ThinnedSamples::add(const Sample& sample) {
    if (!sample.force_fresh && !sample.screw_fresh && !sample.ring_fresh) return;
    group_.push_back(sample);
    if (group_.size() < of_how_many_) return;
    keep_two_of(group_.data(), group_.size());
    group_.clear();
    if (kept_.size() + 2 <= most_) return;
    // Full: from here on two of twice as many, and of what is kept likewise.
    const std::vector<Sample> before = std::exchange(kept_, {});
    kept_.reserve(before.size());
    for (std::size_t i = 0; i < before.size(); i += 4) keep_two_of(&before[i], before.size() - i < 4 ? before.size() - i : 4);
    of_how_many_ *= 2;
}

// The lowest and the highest force, in their order. Whatever else was new in the group is new in the later of the two: travel
// moves little in so short a time.
void ThinnedSamples::keep_two_of(const Sample* group, std::size_t count) {
    if (count <= 2) {
        kept_.insert(kept_.end(), group, group + count);
        return;
    }
    std::size_t low = 0, high = 0;
    bool screw = false, screw_mm = false, ring = false;
    for (std::size_t i = 0; i < count; ++i) {
        if (group[i].force_known && group[i].force_N < group[low].force_N) low = i;
        if (group[i].force_known && group[i].force_N >= group[high].force_N) high = i;
        screw = screw || group[i].screw_fresh;
        screw_mm = screw_mm || group[i].screw_mm_fresh;
        ring = ring || group[i].ring_fresh;
    }
    if (low != high) kept_.push_back(group[low < high ? low : high]);
    Sample later = group[low < high ? high : low];
    later.screw_fresh = screw && later.screw_known;
    later.screw_mm_fresh = screw_mm && later.screw_mm_known;
    later.ring_fresh = ring && later.ring_known;
    kept_.push_back(later);
}

std::vector<Sample> ThinnedSamples::take() {
    keep_two_of(group_.data(), group_.size());
    group_.clear();
    return std::exchange(kept_, {});
}

}  // namespace halfturn::review
