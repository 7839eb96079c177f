// How fast a store of a hundred thousand jobs is listed, filtered and searched, as a page asks: over HTTP, from the first byte
// of the question to the last of the answer, with a running `halfturn serve`.
#include <filesystem>

#include "bench/bench.hpp"
#include "review/many_jobs.hpp"
#include "review/search/job_index.hpp"
#include "screen/served_bench.hpp"

namespace halfturn::bench {
namespace {

constexpr std::int64_t jobs_searched = 100'000;
constexpr int rounds = 40;

struct Asked {
    const char *what, *target;
};

}  // namespace

void measure_search(Figures& figures) {
    const std::string path = scratch_file("many.db");
    record::Store store = record::Store::open(path, record::Mode::write);
    test::add_made_jobs(store, jobs_searched, test::usual_made_job);
    const double filling_ms = milliseconds([&] {
        review::JobIndex index = review::JobIndex::beside(store);
        while (!index.catch_up(store, 20'000)) {}
    });
    figures.add({"making the index anew, for each job", Goal::at_most, 2, filling_ms / static_cast<double>(jobs_searched), "ms",
                 shown(filling_ms / 1000, "s for 100 000"), "", "only when it is missing or of another layout"});
    const double size_MiB = static_cast<double>(std::filesystem::file_size(path + "-index")) / (1 << 20);
    figures.add({"the index, for a thousand jobs", Goal::at_most, 2, size_MiB * 1000 / static_cast<double>(jobs_searched), "MiB",
                 shown(size_MiB, "MiB for 100 000"), "", "texts and all"});

    const test::ServedBench bench(path);
    for (const Asked& asked :
         {Asked{"the newest fifty", "/data/review/jobs?most=50"},
          Asked{"fifty from the middle", "/data/review/jobs?most=50&before=50000"},
          Asked{"one call of the rare kind", "/data/review/jobs?most=50&call=stop-and-inspect"},
          Asked{"one person and one call", "/data/review/jobs?most=50&who=Ana&call=look-closer"},
          Asked{"one item by its beginning", "/data/review/jobs?most=50&item=wheel+12*"},
          Asked{"a warning in a span of time",
                "/data/review/jobs?most=50&warning=past-break-loose-band&since=2024-01-01&until=2024-06-30"},
          Asked{"a rare word", "/data/review/jobs?most=50&search=rust+spacer"},
          Asked{"a word in every job", "/data/review/jobs?most=50&search=wheel"},
          Asked{"the beginning of a word, and a call", "/data/review/jobs?most=50&search=sc&call=nothing-unusual"},
          Asked{"nothing found", "/data/review/jobs?most=50&who=Nobody&search=nothing"}}) {
        std::vector<double> took_ms;
        for (int i = 0; i < rounds; ++i)
            took_ms.push_back(milliseconds([&] { keep(bench.get(asked.target).body.size()); }));
        figures.add({std::string("100 000 jobs, ") + asked.what + ", p95", Goal::at_most, 50, quantile(took_ms, 0.95), "ms",
                     shown(quantile(took_ms, 0.5), "ms at the median"), "", "question and answer over HTTP"});
    }
}

}  // namespace halfturn::bench
