// halfturn watch JOB: runs a press job live. Opens the instruments, zeroes with the stack loose, watches, warns, records.
#include <unistd.h>

#include <algorithm>
#include <cstdio>
#include <memory>
#include <optional>
#include <thread>

#include "command/command.hpp"
#include "command/examples.hpp"
#include "command/job_setup.hpp"
#include "command/summary.hpp"
#include "command/terminal/bench_view.hpp"
#include "command/terminal/keyboard.hpp"
#include "core/failure.hpp"
#include "live/live_job.hpp"
#include "screen/desk.hpp"
#include "screen/server.hpp"
#include "watch/judgement_json.hpp"

namespace halfturn::command {
namespace {

struct WatchOptions {
    std::string job, rig, store, practice;
    std::int64_t seed = 1;
    double brisk = 1;
    int port = 0;
    bool family = false, json = false, screen = false;
};

constexpr Instant line_every = 2 * nanoseconds_per_second;   // in a pipe, when nothing changes
constexpr Instant draw_every = nanoseconds_per_second / 10;
constexpr Instant bell_every = 700'000'000;

class OneJob {
public:
    // `also` is called after every change too: the page.
    OneJob(live::LiveJob& job, bool quiet, bool by_keys, std::function<void()> also)
        : job_(job), quiet_(quiet), by_keys_(by_keys), also_(std::move(also)) {}

    void run() {
        if (quiet_) {
            job_.on_change = also_;
            return job_.run();
        }
        LiveTerminal terminal;
        terminal_ = &terminal;
        job_.on_change = [this] {
            show();
            if (also_) also_();
        };
        if (by_keys_) job_.loop().watch_input(0, [this](std::string_view bytes) {
            for (const char c : bytes) key(c);
        });
        job_.run();
        terminal_ = nullptr;
    }

private:
    void key(char c) {
        const live::Stage stage = job_.stage();
        // Any key stops the sound first; what else it does stays the same.
        if (stage == live::Stage::running && !job_.sound_silenced() && !job_.judge().warnings().empty()) job_.silence();
        switch (c) {
            case 'z': case '0':
                if (stage == live::Stage::ready) {
                    job_.zero();
                    message_ = job_.judge().zero_refused() ? "The zero was refused: the stack still carries load, or there are "
                                                             "too few readings. Loosen it and press z again."
                                                           : "Zeroed. Press b to begin.";
                }
                break;
            case 'b': case '\n': case '\r':
                if (stage == live::Stage::ready) {
                    if (!job_.zeroed()) job_.skipped("zero with the stack loose");
                    job_.begin();
                    message_.clear();
                }
                break;
            case ' ':
                if (stage == live::Stage::running) job_.flat();
                break;
            case 'C': job_.acknowledge(); break;
            case 'e': case 'q':
                if (stage != live::Stage::running || asked_to_end_) job_.end("ended by hand");
                else {
                    asked_to_end_ = true;
                    message_ = "Press e again to end the job.";
                }
                return;
            default: break;
        }
        asked_to_end_ = false;
        show();
    }

    std::string keys() const {
        if (!message_.empty()) return message_;
        switch (job_.stage()) {
            case live::Stage::opening: {
                const auto missing = job_.ports_missing();
                return missing.empty() ? "Waiting for the instruments…   e ends" : "Waiting: " + missing.front() + "   e ends";
            }
            case live::Stage::ready: return by_keys_ ? "Stack loose?  z zeroes,  b begins,  e ends" : "Zeroing with the stack loose…";
            case live::Stage::running:
                return by_keys_ ? running_keys() : "Ctrl-C ends the job";
            default: return "";
        }
    }

    // Only what does something now.
    std::string running_keys() const {
        const Snapshot now = job_.judge().snapshot();
        std::string out;
        if (!job_.sound_silenced() && now.warnings > 0) out += "any key: silence   ";
        if (now.stop_latched) out += now.unloaded ? "C (capital): looked, clear the stop   " : "";
        else if (flats_by_hand(job_.set_up())) out += "space: one flat made   ";
        return out + "e: end";
    }

    void show() {
        const Snapshot now = job_.judge().snapshot();
        const auto& warnings = job_.judge().warnings();
        if (terminal_->has_screen()) {
            if (now.at - drawn_at_ >= draw_every || warnings.size() != warnings_shown_) {
                drawn_at_ = now.at;
                std::size_t columns = 80, rows = 24;
                terminal_->size(columns, rows);
                terminal_->draw(bench_lines(now, job_.set_up(), warnings, columns, rows, keys()));
            }
        } else {
            while (lines_shown_ < warnings.size()) print(warning_text(warnings[lines_shown_++]));
            const bool changed = now.word != word_ || now.phase != phase_ || job_.stage() != stage_;
            if (job_.stage() == live::Stage::running && (changed || now.at - drawn_at_ >= line_every)) {
                drawn_at_ = now.at;
                print(bench_line(now));
            }
            if (job_.stage() == live::Stage::opening) tell_missing();
            if (changed && job_.stage() == live::Stage::ready) print("The instruments speak. Zeroing with the stack loose.\n");
        }
        word_ = now.word;
        phase_ = now.phase;
        stage_ = job_.stage();
        warnings_shown_ = warnings.size();
        const bool loud = now.word == HandWord::stop || now.word == HandWord::slower || !warnings.empty();
        if (loud && terminal_->has_screen() && !job_.sound_silenced() && now.at - rang_at_ >= bell_every) {
            rang_at_ = now.at;
            terminal_->bell();
        }
    }

    // A port that can't be opened yet is told at once, each sentence once.
    void tell_missing() {
        std::vector<std::string> missing = job_.ports_missing();
        for (const std::string& one : missing)
            if (std::find(missing_.begin(), missing_.end(), one) == missing_.end()) print("Waiting: " + one + "\n");
        missing_ = std::move(missing);
    }

    live::LiveJob& job_;
    std::vector<std::string> missing_;
    bool quiet_, by_keys_;
    std::function<void()> also_;
    LiveTerminal* terminal_ = nullptr;
    std::string message_;
    bool asked_to_end_ = false;
    Instant drawn_at_ = -line_every, rang_at_ = -bell_every;
    HandWord word_ = HandWord::wait;
    Phase phase_ = Phase::slack;
    live::Stage stage_ = live::Stage::opening;
    std::size_t warnings_shown_ = 0, lines_shown_ = 0;
};

constexpr auto last_word_takes = std::chrono::milliseconds(700);  // until every page has the end of the job

void run_with_page(live::LiveJob& live_job, const WatchOptions& options, bool by_keys) {
    screen::Desk desk;
    screen::Server server({.port = static_cast<unsigned short>(options.port)}, [&desk](const screen::PageAct& act) { desk.act(act); });
    desk.publish_to(server);
    const auto shown = desk.show(live_job);
    std::fprintf(options.json ? stderr : stdout, "The page is at %s\n", server.address().c_str());
    std::fflush(stdout);
    OneJob(live_job, options.json, by_keys && !options.json, [&desk] { desk.changed(); }).run();
    desk.changed();
    std::this_thread::sleep_for(last_word_takes);
}

std::string what_is_left(const std::string& job_id, const std::string& ending) {
    if (job_id.empty()) return "This job was not recorded (" + ending + "): nothing of it is kept but what stands here.\n";
    return wrapped("Job " + job_id + ", " + ending + ". `halfturn review " + job_id + "` shows it again.", 80, "");
}

void run(const WatchOptions& options, Status& status) {
    const JobFile job = read_job_file(options.job);
    if (options.rig.empty() && options.practice.empty())
        throw BadInput("which rig? give --rig FILE (`halfturn example rig` prints one to start from), or --practice SCENARIO");
    RigFile rig = options.rig.empty() ? read_rig_text(std::string(find_example("rig")->text), "the example rig")
                                      : read_rig_file(options.rig);
    std::optional<curve::FamilyJobs> family;
    if (options.family) family = family_of(job, options.store, !options.practice.empty());
    curve::Frozen frozen = frozen_set_up(job, rig, options.store, static_cast<std::uint64_t>(options.seed), family ? &*family : nullptr);
    frozen.set_up.practice = !options.practice.empty();
    const bool by_keys = ::isatty(0) == 1;
    if (!options.json) {
        print(cautions_text() + "\n" + reach_text(frozen.set_up) + "\n");
        if (frozen.set_up.fastest_turns_per_s > 0)
            print("Turn no faster than " + turns_words(frozen.set_up.fastest_turns_per_s) +
                  "/s before it breaks loose: one flat, pause, read.\n");
        for (const auto& mark : frozen.set_up.marks) print("Mark: " + mark + ".\n");
        if (frozen.set_up.practice)
            print("PRACTICE: the instruments and the hand are played by the practice rig (" + options.practice + ").\n");
    }
    live::Options how;
    how.store_path = store_or_usual(options.store);
    how.practice = options.practice;
    how.seed = static_cast<std::uint64_t>(options.seed);
    how.brisk = options.brisk;
    how.unattended = !by_keys && !options.screen;
    live::LiveJob live_job(std::move(frozen.set_up), how);
    if (options.screen) run_with_page(live_job, options, by_keys);
    else OneJob(live_job, options.json, by_keys && !options.json, {}).run();

    for (const auto& remark : live_job.recorder_remarks()) std::fprintf(stderr, "halfturn: %s\n", remark.c_str());
    if (!live_job.recorded()) std::fprintf(stderr, "halfturn: the record is not complete: %s\n", live_job.record_problem().c_str());
    if (live_job.stage() != live::Stage::ended) {
        std::string message = live_job.ending() + ".";
        for (const auto& problem : live_job.not_ready()) message += "\n  " + problem;
        throw BadInput(message);
    }
    const Judgement judgement = live_job.judge().judgement();
    if (options.json) print(judgement_json(judgement, live_job.set_up(), live_job.job_id(), 2) + "\n");
    else
        print("\n" + summary_text(judgement, live_job.set_up()) + "\n" + what_is_left(live_job.job_id(), live_job.ending()));
    status.code = call_exit_status(judgement.call);
}

void add_watch(CLI::App* command, Status& status) {
    auto options = std::make_shared<WatchOptions>();
    command->add_option("job", options->job, "Job file (TOML)")->required();
    command->add_option("--rig", options->rig, "Rig file (TOML)");
    command->add_option("--practice", options->practice, "Play this practice job instead of a real press (`halfturn-practice list`)");
    add_family_option(*command, options->family);
    command->add_option("--store", options->store, "Store file, instead of the usual one");
    command->add_option("--seed", options->seed, "Seed of the expectation and of the practice job")->check(CLI::NonNegativeNumber);
    command->add_option("--brisk", options->brisk, "Practice: factor on the hand's speed once the ring moves")
        ->check(CLI::Range(0.05, 5.0));
    command->add_flag("--screen", options->screen, "Show the job on a page in a browser of this machine, and take acts from there");
    command->add_option("--port", options->port, "Port of the page; 0 takes any free one")->check(CLI::Range(0, 65535));
    command->add_flag("--json", options->json, "Print the judged job as JSON at the end, and nothing else");
    command->callback([options, &status] { run(*options, status); });
}

}  // namespace

extern const Command command_watch;
const Command command_watch{"watch", "Run a press job live: read the instruments, compare, warn, record", add_watch};

}  // namespace halfturn::command
