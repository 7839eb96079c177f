// What it costs to judge a whole store again, and to find jobs in a long list.
#include <ctime>

#include "bench/bench.hpp"
#include "practice_jobs/judged_job.hpp"
#include "record/rejudge.hpp"
#include "watch/judgement_json.hpp"

namespace halfturn::bench {
namespace {

constexpr int different_jobs = 12, jobs_in_list = 10'000, items = 500;

record::Judged judged_of(const Judgement& j, const SetUp& set_up) {
    return {j.judge, std::string(call_id(j.call)), j.fingerprint, judgement_json(j, set_up, "")};
}

void add_job(record::Store& store, const SetUp& set_up, const std::vector<Event>& events, const std::optional<record::Judged>& judged) {
    record::OpenJob job = store.begin_job(set_up, record::Origin::log);
    constexpr std::size_t in_a_block = 4000;
    for (std::size_t from = 0; from < events.size(); from += in_a_block) {
        std::string bytes;
        for (std::size_t i = from; i < std::min(events.size(), from + in_a_block); ++i) append_event_bytes(events[i], bytes);
        store.add_block(job, bytes);
    }
    store.end_job(job, "end of the log", judged);
}

// Jobs of the practice rig, at the rates of its instruments.
void fill_with_jobs(record::Store& store) {
    for (int seed = 1; seed <= different_jobs; ++seed) {
        const SetUp& set_up = test::example_set_up(Work::out);
        const auto events = events_from_json_lines(test::practise("clean", static_cast<std::uint64_t>(seed)).log, set_up, "practice.jsonl");
        add_job(store, set_up, events, judged_of(test::judged(events, set_up), set_up));
    }
}

// A long list: what is listed does not hang on what was recorded, so each has one event.
void fill_with_rows(record::Store& store) {
    store.database().execute("PRAGMA synchronous = OFF");
    SetUp set_up;
    for (int i = 0; i < jobs_in_list; ++i) {
        set_up.item = "castor fork " + std::to_string(i % items);
        set_up.seat = i % 2 ? "upper" : "lower";
        add_job(store, set_up, {{1, 0, OperatorDid{Act::begin, ""}}}, record::Judged{"2", "nothing-unusual", "sha256:0", "{}"});
    }
}

}  // namespace

void measure_rejudge(Figures& figures) {
    {
        record::Store store = record::Store::open(scratch_file("jobs.db"), record::Mode::write);
        fill_with_jobs(store);
        const auto jobs = record::list_jobs(store);
        double real_s = 0, events = 0;
        for (const auto& job : jobs) real_s += job.length_s, events += static_cast<double>(job.events);
        std::vector<double> rounds_ms;
        for (int round = 0; round < 7; ++round) {
            const double before_ms = processor_ms();
            for (const auto& job : jobs) keep(record::judge_again(store, job).now.fingerprint.size());
            rounds_ms.push_back(processor_ms() - before_ms);
        }
        const double took_ms = quantile(rounds_ms, 0.5);
        figures.add({"judging a store again, against the time the jobs took", Goal::at_least, 10'000, real_s * 1000 / took_ms, "x",
                     shown(took_ms, "ms of one core"), shown(real_s, "s"),
                     "12 practice jobs from SQLite, " + std::to_string(static_cast<int>(events)) + " events"});
    }
    record::Store store = record::Store::open(scratch_file("list.db"), record::Mode::write);
    fill_with_rows(store);
    std::vector<double> all_ms, page_ms, item_ms, count_ms;
    for (int round = 0; round < 15; ++round) {
        count_ms.push_back(milliseconds([&] { keep(store.database().number("SELECT sum(length(item) + length(who)) FROM jobs")); }));
        all_ms.push_back(milliseconds([&] { keep(record::list_jobs(store).size()); }));
    }
    for (int round = 0; round < 200; ++round) {
        record::JobFilter page;
        page.most = 100;
        page.before = jobs_in_list / 2;
        page_ms.push_back(milliseconds([&] { keep(record::list_jobs(store, page).size()); }));
        record::JobFilter item;
        item.item = "castor fork 77";
        item.seat = "upper";
        item_ms.push_back(milliseconds([&] { keep(record::list_jobs(store, item).size()); }));
    }
    figures.add({"listing 10 000 jobs", Goal::at_most, 300, quantile(all_ms, 0.5), "ms", shown(quantile(all_ms, 0.95), "ms at p95"),
                 shown(quantile(count_ms, 0.5), "ms"), "peer: SQLite reading every row once"});
    figures.add({"a page of 100 of them", Goal::at_most, 10, quantile(page_ms, 0.95), "ms",
                 shown(quantile(page_ms, 0.5), "ms at the median"), "", "from the middle of the list"});
    figures.add({"one seat's jobs among them", Goal::at_most, 10, quantile(item_ms, 0.95), "ms",
                 shown(quantile(item_ms, 0.5), "ms at the median"), "", "by item and seat"});
}

}  // namespace halfturn::bench
