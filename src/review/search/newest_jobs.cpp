#include <algorithm>

#include "review/entries.hpp"
#include "review/search/job_index.hpp"

namespace halfturn::review {
namespace {

using record::Statement;

bool is_set_aside(record::Store& store, std::int64_t job) {
    const std::vector<Entry> entries = entries_of_job(store, job);
    return std::any_of(entries.begin(), entries.end(), [](const Entry& entry) { return entry.stands_as("set-aside"); });
}

}  // namespace

Hits newest_jobs(record::Store& store, std::size_t most) {
    Hits hits;
    Statement find(store.database(), "SELECT number FROM jobs ORDER BY number DESC LIMIT ?");
    find.bind(1, most > 0 ? static_cast<std::int64_t>(most) : std::int64_t{-1});
    while (find.row()) {
        hits.jobs.push_back({});
        hits.jobs.back().number = find.integer(0);
    }
    hits.total = most > 0 && hits.jobs.size() == most ? store.database().number("SELECT count(*) FROM jobs")
                                                      : static_cast<std::int64_t>(hits.jobs.size());
    if (hits.jobs.empty()) return hits;
    Statement aside(store.database(), "SELECT job FROM entries WHERE kind = 'set-aside' AND job >= ? ORDER BY job DESC");
    aside.bind(1, hits.jobs.back().number);
    for (auto hit = hits.jobs.begin(); aside.row();) {
        while (hit != hits.jobs.end() && hit->number > aside.integer(0)) ++hit;
        if (hit == hits.jobs.end()) break;
        if (hit->number == aside.integer(0) && !hit->set_aside) hit->set_aside = is_set_aside(store, hit->number);
    }
    return hits;
}

}  // namespace halfturn::review
