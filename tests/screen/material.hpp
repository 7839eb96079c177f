// A practice job's events to feed a live job with, made by the programs under test.
#pragma once

#include <cstdlib>
#include <stdexcept>
#include <string>
#include <vector>

#include "core/event.hpp"
#include "core/set_up.hpp"
#include "record/reader.hpp"
#include "run_halfturn.hpp"

namespace halfturn::test {

// A practice job as the bytes, port changes and ticks it was made of. What people did is left out: the job does it anew.
struct Material {
    Bench bench;
    SetUp set_up;
    std::vector<Event> events;

    explicit Material(const std::string& scenario) {
        const std::string log = (bench.folder / "log.jsonl").string(), store = (bench.folder / "given.db").string();
        const std::string practice = "'" HALFTURN_BUILD_DIR "/halfturn-practice' log " + scenario + " --seed 3 --out '" + log + "'";
        need(std::system(practice.c_str()) == 0, "the practice rig wrote no log");
        const std::string job = bench.file("job.toml", bench.run("example job").out),
                          rig = bench.file("rig.toml", bench.run("example rig").out);
        need(bench.run("judge '" + log + "' --job '" + job + "' --rig '" + rig + "' --keep --store '" + store + "'").status >= 0,
             "the log was not judged");
        record::Store kept = record::Store::open(store, record::Mode::read);
        set_up = record::read_set_up(kept, 1);
        for (Event& event : record::read_events(kept, 1))
            if (!std::holds_alternative<OperatorDid>(event.what)) events.push_back(std::move(event));
        need(events.size() > 1000, "the job is too short");
    }

private:
    static void need(bool holds, const char* else_what) {
        if (!holds) throw std::runtime_error(else_what);
    }
};

}  // namespace halfturn::test
