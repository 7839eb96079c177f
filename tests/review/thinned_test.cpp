// A job of hours for review: bounded, and no peak lost.
#include <catch2/catch.hpp>

#include <algorithm>
#include <cmath>
#include <random>

#include "review/thinned_samples.hpp"

using namespace halfturn;
using namespace halfturn::review;

namespace {

std::vector<Sample> pull(std::size_t count) {
    std::mt19937_64 random(3);
    std::vector<Sample> samples;
    for (std::size_t i = 0; i < count; ++i) {
        Sample s;
        s.at = static_cast<Instant>(i) * 1'000'000;
        s.began = s.force_known = s.force_fresh = s.screw_known = true;
        s.force_N = 800 * std::sin(static_cast<double>(i) / 9000) + static_cast<double>(random() % 10) +
                    (i == count / 3   ? 2500
                     : i == count / 2 ? -700
                                      : 0);
        s.screw_fresh = i % 100 == 0;
        s.turns = static_cast<double>(i) / 1e5;
        samples.push_back(s);
    }
    return samples;
}

}  // namespace

TEST_CASE("a usual job is kept whole, without what brought nothing new") {
    ThinnedSamples kept;
    const auto samples = pull(5000);
    for (const Sample& s : samples) {
        kept.add(s);
        Sample same = s;
        same.force_fresh = same.screw_fresh = false;
        kept.add(same);
    }
    CHECK(kept.take().size() == samples.size());
}

TEST_CASE("a long job is thinned, and keeps its highest and lowest force where they were") {
    ThinnedSamples kept(1000);
    const auto samples = pull(100'000);
    for (const Sample& s : samples) kept.add(s);
    const auto all = kept.take();
    REQUIRE(all.size() <= 1000);
    CHECK(all.size() >= 400);
    const auto lower = [](const Sample& a, const Sample& b) { return a.force_N < b.force_N; };
    const auto [low, high] = std::minmax_element(samples.begin(), samples.end(), lower);
    const auto [kept_low, kept_high] = std::minmax_element(all.begin(), all.end(), lower);
    CHECK(kept_low->at == low->at);
    CHECK(kept_high->at == high->at);
    CHECK(std::is_sorted(all.begin(), all.end(), [](const Sample& a, const Sample& b) { return a.at < b.at; }));
    CHECK(std::any_of(all.begin(), all.end(), [](const Sample& s) { return s.screw_fresh; }));
    // Every hundredth of the job keeps its highest, to within a group of samples.
    bool good = true;
    for (Instant from = 0; from < 100'000'000'000; from += 1'000'000'000) {
        double high_all = -1e9, high_kept = -1e9;
        for (const Sample& s : samples)
            if (s.at >= from && s.at < from + 1'000'000'000) high_all = std::max(high_all, s.force_N);
        for (const Sample& s : all)
            if (s.at >= from - 512'000'000 && s.at < from + 1'512'000'000) high_kept = std::max(high_kept, s.force_N);
        good = good && high_kept >= high_all;
    }
    CHECK(good);
}
