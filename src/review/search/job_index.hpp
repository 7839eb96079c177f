// Finds jobs by anything: an index of what can be asked for, in a file of its own beside the store (FILE-index). It is derived
// data: made again when it is missing, damaged, of another layout or of another store, and brought up to date by following
// the store's chain, which has a link for each thing that was put in. The store itself is only read.
//   JobIndex index = JobIndex::beside(store);
//   while (!index.catch_up(store)) {}
//   for (const Hit& hit : index.find(query).jobs) show(hit.number);
// One JobIndex is one connection, for one thread at a time; any number of programs may use the file at once.
#pragma once

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

#include "record/reader.hpp"
#include "record/sqlite.hpp"
#include "record/store.hpp"
#include "review/search/job_query.hpp"

namespace halfturn::review {

struct Hit {
    std::int64_t number = 0;
    std::string passage;  // where the words stand, what matched between match_begins and match_ends; empty without words
    std::vector<std::string> warnings, findings;  // ids
    bool looked_at = false;                       // its curve was read for findings
    bool signed_off = false, set_aside = false;
};
constexpr char match_begins = '\x02', match_ends = '\x03';

struct Hits {
    std::vector<Hit> jobs;   // newest first
    std::int64_t total = 0;  // how many there are, `most` and `before` left aside
    bool more = false;       // there are more than `total`: counting stopped at the query's count_to
};

// What the store has of the jobs found, in their order.
struct ListedJob {
    record::JobRow job;
    Hit hit;
};
std::vector<ListedJob> read_hits(record::Store& store, const Hits& hits);

// The newest jobs whatever they are, from the store alone: a list that nothing narrows can do without the index. Of the hits only
// the number and what was set aside is filled in; `most` 0: all.
Hits newest_jobs(record::Store& store, std::size_t most);

class JobIndex {
public:
    // The file beside the store, or in memory where that can't be written.
    static JobIndex beside(record::Store& store);
    static JobIndex in_memory();

    // Takes in what came into the store since, at most so many links of the chain. True when it now holds all.
    bool catch_up(record::Store& store, std::size_t most_links = 2000);

    // Findings need a job's whole curve, so they are read one job at a time, the newest first, by whoever has time for it.
    // How many wait for it, counted up to `most`.
    std::int64_t not_looked_at(std::int64_t most);
    // One more, or this one; false when there is none left. A job that can't be read counts as looked at, without findings.
    bool look_at_one(record::Store& store, std::optional<std::int64_t> number = {});

    // Throws BadInput as check_query().
    Hits find(const JobQuery& query);

    // The jobs most like this one (likeness.hpp), nearest first, of the same work, those set aside left out. Reads this job's
    // curve if that was not done; of the others, only those whose curve was read. `compared`: how many that were.
    struct Like {
        std::int64_t number;
        double distance;
    };
    std::vector<Like> like(record::Store& store, std::int64_t number, std::size_t most, std::int64_t& compared);

    // What a field of the query could be: its values that begin so, the most used first. Fields: item, seat, set, who, rig,
    // bearing. Throws BadInput for another field.
    std::vector<std::string> values(std::string_view field, std::string_view begins, std::size_t most = 12);

private:
    explicit JobIndex(record::Database db) : db_(std::move(db)) {}
    void make();
    bool of_this_store(record::Store& store);
    void start_anew(record::Store& store);
    record::Database db_;
};

}  // namespace halfturn::review
