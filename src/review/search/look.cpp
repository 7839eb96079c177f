#include "review/search/look.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstring>
#include <limits>

#include "core/failure.hpp"
#include "record/rejudge.hpp"
#include "review/seat_review.hpp"
#include "review/thinned_samples.hpp"

namespace halfturn::review {
namespace {

constexpr std::size_t feature_doubles = 2 + shape_steps;
constexpr double unknown = std::numeric_limits<double>::quiet_NaN();

}  // namespace

std::string features_bytes(const PullFeatures& features) {
    std::array<double, feature_doubles> all;
    all.fill(unknown);
    all[0] = features.ratio.value_or(unknown);
    all[1] = features.slope.value_or(unknown);
    if (features.shape) std::copy(features.shape->begin(), features.shape->end(), all.begin() + 2);
    return {reinterpret_cast<const char*>(all.data()), sizeof all};
}

PullFeatures features_from_bytes(std::string_view bytes) {
    std::array<double, feature_doubles> all;
    if (bytes.size() != sizeof all) return {};
    std::memcpy(all.data(), bytes.data(), sizeof all);
    PullFeatures features;
    if (std::isfinite(all[0])) features.ratio = all[0];
    if (std::isfinite(all[1])) features.slope = all[1];
    if (std::isfinite(all[2])) {
        features.shape.emplace();
        std::copy(all.begin() + 2, all.end(), features.shape->begin());
    }
    return features;
}

// Raise the number when a finding changes what it says yes to.
std::string look_version() { return "judge " + std::string(judge_version) + ", findings 1"; }

Look look_at(record::Store& store, const record::JobRow& job) {
    Look look;
    try {
        ThinnedSamples samples;
        const record::Rejudged judged = record::judge_again(store, job, [&](const Sample& sample) { samples.add(sample); });
        const Evidence evidence = evidence_of(samples.take(), judged.set_up, judged.now);
        const SeatReview seat = review_seat(evidence);
        look.features = features_of(evidence);
        for (const Found& found : seat.findings.found)
            look.findings.push_back({std::string(found.info.id), std::string(found.info.title) + ": " + found.answer.says});
    } catch (const BadInput&) {
    } catch (const Failure&) {
    }
    return look;
}

}  // namespace halfturn::review
