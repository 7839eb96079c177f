#include "review/recorded_curve.hpp"

#include "record/rejudge.hpp"
#include "review/thinned_samples.hpp"

namespace halfturn::review {

PullCurve recorded_curve(record::Store& store, const record::JobRow& job) {
    ThinnedSamples samples;
    const record::Rejudged judged = record::judge_again(store, job, [&](const Sample& sample) { samples.add(sample); });
    return curve_of("job " + std::to_string(job.number), evidence_of(samples.take(), judged.set_up, judged.now));
}

}  // namespace halfturn::review
