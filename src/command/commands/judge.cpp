// halfturn judge LOG --job JOB --rig RIG: a log of some other logger, judged as a job like any other.
#include <algorithm>
#include <functional>
#include <memory>
#include <optional>

#include "command/command.hpp"
#include "command/job_setup.hpp"
#include "command/summary.hpp"
#include "core/failure.hpp"
#include "files/whole_file.hpp"
#include "ports/log_port.hpp"
#include "record/recorder.hpp"
#include "watch/judge.hpp"
#include "watch/judgement_json.hpp"

namespace halfturn::command {
namespace {

constexpr std::size_t largest_log_bytes = std::size_t{1} << 30;

struct JudgeOptions {
    std::string log, job, rig, store;
    std::int64_t seed = 1;
    bool family = false, keep = false, json = false;
};

bool is_json_lines(const std::string& text) {
    const auto first = text.find_first_not_of(" \t\r\n");
    return first != std::string::npos && text[first] == '{';
}

std::string finish_record(record::Recorder& recorder, const SetUp& set_up, const Judgement& judgement) {
    const record::Judged judged{judgement.judge, std::string(call_id(judgement.call)), judgement.fingerprint,
                                judgement_json(judgement, set_up, recorder.job_id())};
    if (!recorder.finish("end of the log", judged)) throw Failure("the job could not be kept: " + recorder.health().detail);
    return recorder.job_id();
}

// A table has newtons already, so the rig's curves are not for it; what its cell makes of a pull beside its axis still is.
void keep_eccentric_load(const std::vector<ChannelSetUp>& rig, std::vector<ChannelSetUp>& log) {
    for (const ChannelSetUp& from : rig)
        for (ChannelSetUp& to : log) {
            if (from.measures != Measure::force || to.measures != Measure::force) continue;
            to.eccentric_load_known = from.eccentric_load_known;
            to.eccentric_calibration = from.eccentric_calibration;
        }
}

void run(const JudgeOptions& options, Status& status) {
    std::string text = whole_file(options.log, largest_log_bytes);
    const JobFile job = read_job_file(options.job);
    RigFile rig = read_rig_file(options.rig);
    std::optional<curve::FamilyJobs> family;
    if (options.family) family = family_of(job, options.store, false);
    const auto freeze = [&] {
        return frozen_set_up(job, rig, options.store, static_cast<std::uint64_t>(options.seed), family ? &*family : nullptr);
    };
    using Sink = std::function<void(const Event&)>;
    std::function<void(const Sink&)> for_each_event;
    curve::Frozen frozen;
    if (is_json_lines(text)) {
        for (PortSetUp& port : rig.ports) port.marked = false;  // a log holds plain bytes, without the line's marks
        frozen = freeze();
        for_each_event = [events = events_from_json_lines(text, frozen.set_up, options.log)](const Sink& sink) {
            std::for_each(events.begin(), events.end(), sink);
        };
    } else {
        CsvLog log = read_csv_log(std::move(text), options.log);
        keep_eccentric_load(rig.channels, log.channels);
        rig.ports = {log.port};
        rig.channels = log.channels;
        frozen = freeze();
        for_each_event = [log = std::move(log)](const Sink& sink) { log.for_each_event(sink); };
    }
    std::optional<record::Recorder> recorder;
    if (options.keep)
        recorder.emplace(store_or_usual(options.store), frozen.set_up, record::RecorderOptions{.origin = record::Origin::log});
    Judge judge(frozen.set_up);
    if (recorder) judge.set_reading_sink([&](const DecodedReading& reading) { recorder->add_reading(reading); });
    for_each_event([&](const Event& event) {
        if (recorder) recorder->add(event);
        judge.on(event);
    });
    const Judgement judgement = judge.judgement();
    const std::string id = recorder ? finish_record(*recorder, frozen.set_up, judgement) : std::string();
    if (options.json) {
        print(judgement_json(judgement, frozen.set_up, id, 2) + "\n");
    } else {
        print(summary_text(judgement, frozen.set_up) + (id.empty() ? "" : "\nKept as job " + id + ".\n"));
    }
    status.code = call_exit_status(judgement.call);
}

void add_judge(CLI::App* command, Status& status) {
    auto options = std::make_shared<JudgeOptions>();
    command->add_option("log", options->log, "The log")->required();
    command->add_option("--job", options->job, "Job file (TOML)")->required();
    command->add_option("--rig", options->rig, "Rig file (TOML); for a CSV log it needs no ports")->required();
    add_family_option(*command, options->family);
    command->add_flag("--keep", options->keep, "Keep it in the store as a job");
    command->add_option("--store", options->store, "Store file, instead of the usual one");
    command->add_option("--seed", options->seed, "Seed of the expectation's sampling")->check(CLI::NonNegativeNumber);
    command->add_flag("--json", options->json, "Print JSON");
    command->footer(
        "A CSV log names its columns in the first line: t_s (seconds) and any of force_N,\n"
        "turns, screw_travel_mm (or travel_mm), ring_travel_mm; others are ignored. Decimals\n"
        "with a point, rows in the order of time, an empty cell where nothing was read.\n"
        "Force counts from the logger's zero; where the log has both turns and screw\n"
        "travel, each of them counts from its first reading. A job of our own is judged again from\n"
        "`halfturn export ID --jsonl`: its CSV also holds what was read before the zero.");
    command->callback([options, &status] { run(*options, status); });
}

}  // namespace

extern const Command command_judge;
const Command command_judge{"judge", "Judge a log of another logger: CSV (t_s, force_N, turns, …) or JSON lines of bytes", add_judge};

}  // namespace halfturn::command
