// The jobs of a store as trends chart them.
//   const Trend trend = trend_of_store(store, question, {});
#pragma once

#include "record/store.hpp"
#include "review/trends.hpp"

namespace halfturn::review {

struct TrendPick {
    std::size_t most = 500;  // of the newest jobs; 0: all
    bool practice = false;   // practice jobs, and no others
    std::string only;        // the one group; empty: all
};

// The figures come from each job's newest judgement; those of its curve are worked out anew from the stored bytes. Left out,
// with why: jobs set aside, those whose call is can't tell, those without the figure. Running jobs and those of the other
// way are not looked at; practice jobs (or, for practice, the others) are counted in passed_over.
struct StoreTrend {
    Trend trend;
    std::size_t passed_over = 0;
};
StoreTrend trend_of_store(record::Store& store, const TrendQuestion& question, const TrendPick& pick);

}  // namespace halfturn::review
