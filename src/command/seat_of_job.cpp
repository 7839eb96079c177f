#include "command/seat_of_job.hpp"

#include <algorithm>

#include "core/failure.hpp"
#include "record/wall_clock.hpp"
#include "review/thinned_samples.hpp"

namespace halfturn::command {
namespace {

constexpr std::size_t most_earlier = 8;

std::vector<record::JobRow> earlier_jobs(record::Store& store, const record::JobRow& job) {
    if (job.item.empty()) return {};  // nothing says that two such jobs were on the same piece
    record::JobFilter filter;
    filter.item = job.item;
    filter.seat = job.seat;
    filter.before = job.number;
    filter.most = most_earlier;
    std::vector<record::JobRow> jobs = record::list_jobs(store, filter);
    std::erase_if(jobs, [&](const record::JobRow& other) {
        return other.seat != job.seat || other.state == record::JobState::running;
    });
    std::reverse(jobs.begin(), jobs.end());
    return jobs;
}

}  // namespace

review::SeatReview seat_of_job(record::Store& store, const record::JobRow& job,
                               const record::Rejudged& judged, const std::vector<Sample>& samples) {
    const review::Evidence evidence = review::evidence_of(samples, judged.set_up, judged.now);
    review::SeatReview seat = review::review_seat(evidence);
    std::vector<review::EarlierPull> pulls;
    const auto add = [&](const review::Evidence& of, const review::SeatReview& read, const record::JobRow& row) {
        if (auto pull = review::as_pull(of, read, row.job_id, record::utc_text(row.started_utc_ms))) pulls.push_back(std::move(*pull));
    };
    const auto readable = [](const review::SeatReview& read) {
        return read.profile.known && read.profile.shape != review::SeatShape::cant_tell;
    };
    for (const record::JobRow& earlier : earlier_jobs(store, job)) {
        try {
            review::ThinnedSamples theirs;
            const record::Rejudged before = record::judge_again(store, earlier, [&](const Sample& sample) { theirs.add(sample); });
            const review::Evidence of = review::evidence_of(theirs.take(), before.set_up, before.now);
            const review::SeatReview read = review::review_seat(of);
            add(of, read, earlier);
            if (read.work == seat.work || !readable(read) || !readable(seat)) continue;
            const bool out = seat.work == Work::out;
            seat.difference = review::compare_profiles(out ? read.profile : seat.profile, out ? seat.profile : read.profile);
            seat.compared_with = "job " + std::to_string(earlier.number);
        } catch (const BadInput&) {  // left out; rejudge and verify say what is wrong with it
        } catch (const Failure&) {
        }
    }
    add(evidence, seat, job);
    seat.history = review::grip_history(std::move(pulls));
    return seat;
}

}  // namespace halfturn::command
