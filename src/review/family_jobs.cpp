#include "review/family_jobs.hpp"

#include <algorithm>
#include <cmath>
#include <map>

#include "core/failure.hpp"
#include "review/past_job.hpp"

namespace halfturn::review {
namespace {

constexpr double same_diameter = 0.03;

bool same_family(const JobFile& a, const JobFile& b) {
    if (a.work != b.work || a.condition.surface != b.condition.surface || family_name(a) != family_name(b)) return false;
    const auto &x = a.housing.outside_diameter_mm, &y = b.housing.outside_diameter_mm;
    return !x || !y || std::fabs(*x - *y) <= same_diameter * std::max(*x, *y);
}

// Who pulled a seat before: by item and seat, where both are named; jobs without them are seats of their own.
std::string seat_of(const record::JobRow& row) { return row.item.empty() ? std::string() : row.item + "\n" + row.seat; }

// The pull of one job, or why it teaches nothing.
std::string read_pull(record::Store& store, const PastJob& past, curve::PastPull& pull) {
    if (!past.set_aside.empty()) return past.set_aside;
    std::string why_not;
    read_again(store, past, [&](const ReadAgain& read) {
        if (read.judgement.call == Call::stop_and_inspect || read.judgement.call == Call::cant_tell) {
            why_not = "its call is " + std::string(call_words(read.judgement.call));
            return;
        }
        const auto grip = frozen_grip(past.set_up, Knowing::at_first);
        if (!read.review.fit.known || !grip) {
            why_not = read.review.fit.known ? "its set-up does not keep the seat's grip" : read.review.fit.why_not;
            return;
        }
        pull.number = past.row.number;
        pull.force_N = read.review.fit.force_N;
        // What the grip per um leaves open is the family's, and learned with friction; the reading's own doubt stays.
        const double u = read.review.fit.force_rel_u, of_grip = grip->relative_u;
        pull.relative_u = std::sqrt(std::max(0.0, u * u - of_grip * of_grip));
        pull.grip = *grip;
        pull.interference_um = grip->interference_um;
    });
    return why_not;
}

class Picker {
public:
    Picker(record::Store& store, const JobFile& job, const FamilyPick& pick) : store_(store), job_(job), pick_(pick) {
        out_.name = family_name(job);
        bearing_ = bearing_name(job.bearing.designation);
    }

    curve::FamilyJobs take() {
        record::JobFilter filter;
        filter.before = pick_.before;
        for (record::JobRow& row : record::list_jobs(store_, filter)) {
            if (row.work != job_.work || row.state == record::JobState::running) continue;
            // Spares reading most other set-ups.
            if (bearing_name(row.designation) != bearing_) continue;
            look_at(std::move(row));
        }
        count_pulls_before();
        std::sort(out_.left_out.begin(), out_.left_out.end(), [](const auto& a, const auto& b) { return a.number < b.number; });
        return std::move(out_);
    }

private:
    void leave_out(std::int64_t number, std::string because) { out_.left_out.push_back({number, std::move(because)}); }

    // Newest first, so that each seat is counted by its newest pull.
    void look_at(record::JobRow row) {
        const std::int64_t number = row.number;
        const std::string seat = seat_of(row);
        try {
            const PastJob past = read_past_job(store_, std::move(row));
            if (!past.job || !same_family(*past.job, job_)) return;
            ++out_.jobs;
            if (past.row.practice != pick_.practice) return leave_out(number, past.row.practice ? "a practice job" : "no practice job");
            ++pulls_of_seat_[seat];
            if (const auto counted = counted_by_.find(seat); !seat.empty() && counted != counted_by_.end())
                return leave_out(number, "the same seat as job " + std::to_string(counted->second) + ", which counts for it");
            if (looked_at_++ >= pick_.most)
                return leave_out(number, "older than the " + std::to_string(pick_.most) + " jobs that are looked at");
            curve::PastPull pull;
            if (std::string why_not = read_pull(store_, past, pull); !why_not.empty()) return leave_out(number, std::move(why_not));
            counted_by_[seat] = number;
            seats_[number] = seat;
            pulled_after_[number] = pulls_of_seat_[seat];
            out_.pulls.push_back(std::move(pull));
        } catch (const BadInput& problem) {
            leave_out(number, problem.what());
        } catch (const Failure& problem) {
            leave_out(number, problem.what());
        }
    }

    void count_pulls_before() {
        for (curve::PastPull& pull : out_.pulls) {
            const std::string& seat = seats_[pull.number];
            if (!seat.empty()) pull.seat_pulled_before = pulls_of_seat_[seat] - pulled_after_[pull.number];
        }
        if (!job_.item.empty())
            if (const auto own = pulls_of_seat_.find(job_.item + "\n" + job_.seat); own != pulls_of_seat_.end())
                out_.this_seat_pulled_before = own->second;
    }

    record::Store& store_;
    const JobFile& job_;
    const FamilyPick& pick_;
    curve::FamilyJobs out_;
    std::string bearing_;
    std::size_t looked_at_ = 0;
    std::map<std::string, std::int64_t> counted_by_;
    std::map<std::string, int> pulls_of_seat_;             // in all
    std::map<std::int64_t, int> pulled_after_;             // of a job's seat, itself counted in
    std::map<std::int64_t, std::string> seats_;
};

}  // namespace

curve::FamilyJobs family_jobs(record::Store& store, const JobFile& job, const FamilyPick& pick) {
    return Picker(store, job, pick).take();
}

}  // namespace halfturn::review
