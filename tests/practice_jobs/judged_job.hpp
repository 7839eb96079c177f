// For tests of the judge on the practice rig: a job in virtual time, judged with the files that `halfturn example` prints.
#pragma once

#include <map>
#include <string>
#include <vector>

#include "curve/frozen_set_up.hpp"
#include "ports/log_port.hpp"
#include "practice/log_writer.hpp"
#include "run_halfturn.hpp"
#include "watch/judge.hpp"

namespace halfturn::test {

// What `halfturn example KIND` prints, asked once.
inline const std::string& example(const std::string& kind) {
    static std::map<std::string, std::string> known;
    auto found = known.find(kind);
    if (found == known.end()) found = known.emplace(kind, Bench().run("example " + kind).out).first;
    return found->second;
}

inline SetUp frozen(const std::string& job, const std::string& rig) {
    RigFile file = read_rig_text(rig, "rig.toml");
    for (PortSetUp& port : file.ports) port.marked = false;  // a log holds plain bytes
    return curve::freeze(read_job_text(job, "job.toml"), file, 1).set_up;
}

inline const SetUp& example_set_up(Work work) {
    static const SetUp out = frozen(example("job"), example("rig")), in = frozen(example("job-in"), example("rig"));
    return work == Work::in ? in : out;
}

struct PracticeJob {
    std::string log;
    practice::Truth truth;
    practice::Scenario scenario;
    std::string ended_by;
};

inline PracticeJob practise(std::string_view name, std::uint64_t seed, const std::vector<std::string>& ports = {},
                            const practice::LogWish& wish = {}, const practice::Wishes& wishes = {}) {
    std::vector<practice::PortWish> at;
    for (const auto& port : ports) at.push_back(practice::read_port_wish(port));
    if (ports.empty()) at = practice::usual_ports();
    PracticeJob job;
    job.scenario = practice::make_scenario(practice::find_scenario(name), seed, wishes);
    practice::Bench bench(job.scenario, at);
    job.log = practice::run_to_log(bench, wish);
    job.truth = bench.truth();
    job.ended_by = bench.hand().ended_by();
    return job;
}

inline Judgement judged(const std::vector<Event>& events, const SetUp& set_up) {
    Judge judge(set_up);
    for (const Event& event : events) judge.on(event);
    return judge.judgement();
}

inline Judgement judged(const PracticeJob& job, const SetUp& set_up) {
    return judged(events_from_json_lines(job.log, set_up, "practice.jsonl"), set_up);
}

inline std::string reasons(const Judgement& judgement) {
    std::string text(call_id(judgement.call));
    for (const Warning& w : judgement.warnings)
        text += "\n  " + std::string(w.rule) + " at " + std::to_string(seconds(w.at)) + " s: " + w.says;
    return text;
}

}  // namespace halfturn::test
