// The samples of a job for review, of which a job of hours has more than anybody looks at: at most so many are kept, and of
// those that lie together always the lowest and the highest force, each at its own time.
//   ThinnedSamples kept;  judge.set_sample_sink([&](const Sample& s) { kept.add(s); });  trace_of(kept.take(), …);
#pragma once

#include <cstddef>
#include <vector>

#include "watch/sample.hpp"

namespace halfturn::review {

class ThinnedSamples {
public:
    // A quarter of an hour at 1000 readings a second; a usual job is kept whole.
    static constexpr std::size_t usual_most = std::size_t{1} << 20;
    explicit ThinnedSamples(std::size_t most = usual_most) : most_(most) {}

    void add(const Sample& sample);  // one that brought no new value is left out
    std::vector<Sample> take();      // in order of time; nothing is left here

private:
    void keep_two_of(const Sample* group, std::size_t count);

    const std::size_t most_;
    std::size_t of_how_many_ = 2;    // two of so many are kept; 2: all
    std::vector<Sample> kept_, group_;
};

}  // namespace halfturn::review
