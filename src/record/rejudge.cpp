#include "record/rejudge.hpp"

namespace halfturn::record {

std::string_view agreement_name(Agreement agreement) {
    switch (agreement) {
        case Agreement::same: return "same";
        case Agreement::differs: return "differs";
        case Agreement::new_version: return "new-version";
        default: return "first";
    }
}

void need_formats(const SetUp& set_up, std::int64_t job) {
    for (const PortSetUp& port : set_up.ports)
        if (find_format(port.format) == nullptr)
            throw BadInput("job " + std::to_string(job) + " was recorded with the format \"" + port.format +
                           "\", which this halfturn does not have");
}

Rejudged judge_again(Store& store, const JobRow& job, const Judge::SampleSink& on_sample) {
    Rejudged result;
    result.set_up = read_set_up(store, job.number);
    need_formats(result.set_up, job.number);
    Judge judge(result.set_up);
    if (on_sample) judge.set_sample_sink(on_sample);
    for_each_event(store, job.number, [&](const Event& event) {
        judge.on(event);
        return true;
    });
    result.now = judge.judgement();
    result.before = read_judgements(store, job.number);
    for (const JudgedRow& row : result.before) {
        if (row.judged.judge != result.now.judge) {
            if (result.agreement == Agreement::first) result.agreement = Agreement::new_version;
        } else result.agreement = row.judged.fingerprint == result.now.fingerprint ? Agreement::same : Agreement::differs;
    }
    result.call_changed = !result.before.empty() && result.before.back().judged.call != call_id(result.now.call);
    return result;
}

}  // namespace halfturn::record
