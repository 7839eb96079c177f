// All that a report says about one job, gathered; a report adds nothing and leaves nothing out.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "record/job_hashes.hpp"
#include "record/rejudge.hpp"
#include "report/kept_certificates.hpp"
#include "review/entries.hpp"
#include "review/seat_history.hpp"
#include "review/seat_review.hpp"
#include "watch/sample.hpp"

namespace halfturn::report {

struct EntryWithPhoto {
    review::Entry entry;
    std::optional<record::PhotoRow> photo;
};

struct JobFacts {
    record::JobRow job;
    record::Rejudged judged;
    std::vector<Sample> samples;       // as judge_again gave them, thinned when there are very many
    review::SeatReview seat;
    std::vector<EntryWithPhoto> entries;
    std::vector<review::SeatJob> seat_jobs;  // this one among them, oldest first
    record::JobHashes hashes;
    std::vector<KeptCertificate> certificates;  // all of the store
    std::string head;
};

// Everything but the seat review, which the caller makes of the same samples.
JobFacts job_facts(record::Store& store, const record::JobRow& job);

// One instrument of the job's set-up and what its numbers rested on that day.
struct InstrumentUsed {
    std::string what, how;             // "force", "port force, format …, 80 readings a second"
    std::string certificate;           // "force-20240531-… (valid until …)" or "without a valid certificate: …"
    const KeptCertificate* kept = nullptr;
};
std::vector<InstrumentUsed> instruments_used(const JobFacts& facts);

// Expanded uncertainty of a force by its certificate, 95 %: linear between the forces it was calibrated at, below the lowest
// that one's, and nothing above the highest.
std::optional<double> force_U_N(const KeptCertificate& kept, double force_N);

}  // namespace halfturn::report
