// A mechanic pulls a bearing with three instruments on pseudo-terminals, and one of them is unplugged and plugged in again in
// each phase of the job. He does what he is told: holds while it is gone, goes on when it speaks, or ends the job.
//
// What pseudo-terminals can't show: modem lines, power over them, line errors and their counters, a wrong baud rate, and
// bytes that a real adapter still held when it was pulled. The kernel drops what was not read yet when the other side hangs
// up, so the instrument here falls silent shortly before the plug comes out.
#include <catch2/catch.hpp>

#include <fmt/format.h>

#include <array>
#include <filesystem>
#include <optional>
#include <thread>

#include "curve/frozen_set_up.hpp"
#include "files/job_file.hpp"
#include "files/rig_file.hpp"
#include "live/live_job.hpp"
#include "ports/pseudo_terminal.hpp"
#include "record/reader.hpp"
#include "watch/judgement_json.hpp"

namespace halfturn::test {
namespace {

enum class When { never, before_begin, slack, loading, after_release, sliding, clear };
constexpr std::array<const char*, 7> when_names = {
    "never", "before the begin", "in the slack", "while loading", "just after the release", "while sliding", "when clear"};
constexpr std::array<const char*, 3> instruments = {"force", "screw travel", "counter"};

constexpr double step_s = 0.02;
constexpr double pitch_mm = 1.25, counts_per_turn = 400;

// A press and a ring in a seat, in plain formulas: a spring, a grip that lets go and falls with the engaged length.
struct Press {
    double turns = 0, slid_mm = 0;
    bool released = false;
    static constexpr double slack_mm = 0.1, k_N_per_mm = 20000, holds_N = 700, slides_N = 560, seat_mm = 7;

    double force_N() const { return std::max(0.0, k_N_per_mm * (turns * pitch_mm - slack_mm - slid_mm)); }
    bool clear() const { return slid_mm >= seat_mm + 1; }  // and a turn more, to be sure
    void turn(double by) {
        turns += by;
        released = released || force_N() >= holds_N;
        const double grip_N = slid_mm >= seat_mm ? 0 : slides_N * (1 - 0.83 * slid_mm / seat_mm);
        if (released && force_N() > grip_N) slid_mm = turns * pitch_mm - slack_mm - grip_N / k_N_per_mm;
    }
    // A calm hand: slow until the ring is free.
    double turns_per_s() const {
        if (clear()) return 0;
        return released ? 1.2 : force_N() > 0 ? 0.02 : 0.06;
    }
    When phase() const {
        if (clear()) return When::clear;
        if (released) return slid_mm > 3 ? When::sliding : When::after_release;
        return force_N() > 300 ? When::loading : When::slack;
    }
};

struct Outcome {
    std::string error;
    Judgement judgement;
    Phase phase = Phase::slack;
    bool recorded = false, zeroed_at_begin = false, zeroed_at_end = false, zeroed_after_replug = true, was_sent_back = false;
    std::string ending;
    std::array<std::string, 3> written, stored;  // while plugged in, and what the record holds
    std::vector<std::string> states;             // of the unplugged port
};

class Mechanic {
public:
    Mechanic(std::size_t instrument, When when, bool ends)
        : instrument_(instrument), when_(when), ends_(ends),
          folder_(std::filesystem::temp_directory_path() /
                  fmt::format("halfturn_mechanic_{}_{}_{}_{}", ::getpid(), instrument, static_cast<int>(when), ends)) {
        std::filesystem::create_directories(folder_);
        for (std::size_t i = 0; i < terminals_.size(); ++i) plug_in(i);
    }
    ~Mechanic() { std::filesystem::remove_all(folder_); }
    Mechanic(const Mechanic&) = delete;
    Mechanic& operator=(const Mechanic&) = delete;

    Outcome work() {
        try {
            const SetUp set_up = freeze();
            live::Options options;
            options.store_path = (folder_ / "jobs.db").string();
            options.patience_s = 30;
            live::LiveJob job(set_up, options);
            job_ = &job;
            job.loop().after(step_s, [this] { step(); });
            job.run();
            outcome_.judgement = job.judge().judgement();
            outcome_.phase = job.judge().snapshot().phase;
            outcome_.recorded = job.recorded();
            outcome_.zeroed_at_end = job.zeroed();
            outcome_.ending = job.ending();
            read_record(options.store_path);
        } catch (const std::exception& error) {
            outcome_.error = error.what();
        }
        return outcome_;
    }

private:
    std::filesystem::path link(std::size_t i) const { return folder_ / fmt::format("port{}", i); }

    void plug_in(std::size_t i) {
        terminals_[i] = PseudoTerminal();
        std::filesystem::remove(link(i));
        std::filesystem::create_symlink(terminals_[i].device, link(i));
    }

    SetUp freeze() const {
        const std::string rig = fmt::format(R"(name = "workshop press"
[screw]
thread = "M8"
[press]
stiffness_N_per_mm = 20000
stiffness_u = 2500
force_limit_N = 5000
[[port]]
name = "force"
device = "{}"
format = "ask-unit"
options = {{ poll = "none" }}
[[port]]
name = "travel"
device = "{}"
format = "sign-cr"
options = {{ poll = "none", unit = "mm" }}
[[port]]
name = "counter"
device = "{}"
format = "value-text"
options = {{ unit = "counts" }}
[[channel]]
port = "force"
measures = "force"
unit = "N"
[[channel]]
port = "travel"
measures = "screw-travel"
[[channel]]
port = "counter"
measures = "turns"
counts_per_turn = 400
)",
                                            link(0).string(), link(1).string(), link(2).string());
        const std::string job = R"(work = "out"
access = "through"
item = "castor fork"
seat = "upper"
[bearing]
designation = "61902-2RS"
[seat_fit]
bore_mm = 27.978
bore_u_um = 2
outside_mm = 27.998
outside_u_um = 1.5
[housing]
material = "6061-T6"
outside_diameter_mm = 40
shape = "flush"
[condition]
surface = "dry"
)";
        return curve::freeze(read_job_text(job, "job"), read_rig_text(rig, "rig"), 1).set_up;
    }

    // One fiftieth of a second of the mechanic's life.
    void step() {
        ++steps_;
        act();
        // Silence before the end of the job too: what is said then belongs to no job.
        const bool hush = (doing_ == done && after(0.8)) || (ends_ && doing_ == unplugged && after(0.2));
        if (!hush) speak();
        if (static_cast<double>(steps_) * step_s > 60) job_->end("the test takes too long");
        if (job_->stage() != live::Stage::ended && job_->stage() != live::Stage::refused) job_->loop().after(step_s, [this] { step(); });
    }

    bool after(double s) const { return static_cast<double>(steps_ - mark_) * step_s >= s; }
    void next(int what) {
        doing_ = what;
        mark_ = steps_;
    }

    enum { waiting, zeroing, working, falling_silent, unplugged, back, done };

    void act() {
        const live::Stage stage = job_->stage();
        switch (doing_) {
            case waiting:
                if (stage == live::Stage::ready) next(zeroing);
                break;
            case zeroing:
                if (!after(0.8)) break;
                job_->zero();
                if (when_ == When::before_begin && !unplugged_once_) return next(falling_silent);
                outcome_.zeroed_at_begin = job_->zeroed();
                job_->begin();
                next(working);
                break;
            case working:
                press_.turn(press_.turns_per_s() * step_s);
                if (press_.phase() == when_ && !unplugged_once_) {
                    if (when_ == When::clear && !after(0.4)) break;
                    return next(falling_silent);
                }
                if (press_.clear()) next(done);
                else mark_ = steps_;
                break;
            case falling_silent:
                if (!after(0.1)) break;
                unplugged_once_ = true;
                // The name goes with the plug, as by-id names do; the kernel soon gives its number to another terminal.
                std::filesystem::remove(link(instrument_));
                terminals_[instrument_].hang_up();
                next(unplugged);
                break;
            case unplugged:
                if (stage == live::Stage::opening) outcome_.was_sent_back = true;
                if (ends_ && after(0.3)) return job_->end("ended by hand");
                if (!after(0.4)) break;
                outcome_.zeroed_after_replug = job_->zeroed();
                plug_in(instrument_);
                next(back);
                break;
            case back:
                // The port is tried again within two seconds; then the number is on the screen again.
                if (!after(2.5)) break;
                outcome_.zeroed_after_replug = outcome_.zeroed_after_replug || job_->zeroed();
                next(when_ == When::before_begin ? zeroing : working);
                break;
            case done:
                if (after(1)) job_->end("done");
                break;
        }
    }

    void speak() {
        const std::array<std::string, 3> lines = {fmt::format("{:.1f} N\r\n", press_.force_N()),
                                                  fmt::format("{:+.3f}\r", press_.turns * pitch_mm),
                                                  fmt::format("{}\r\n", static_cast<long>(press_.turns * counts_per_turn))};
        for (std::size_t i = 0; i < lines.size(); ++i) {
            const bool mute = i == instrument_ && (doing_ == falling_silent || doing_ == unplugged || (doing_ == back && !after(2.2)));
            if (mute || !job_->loop().port_problem(static_cast<std::uint16_t>(i)).empty()) continue;
            terminals_[i].write(lines[i]);
            outcome_.written[i] += lines[i];
        }
    }

    void read_record(const std::string& path) {
        record::Store store = record::Store::open(path, record::Mode::read);
        record::for_each_event(store, record::find_job(store, "1").number, [&](const Event& event) {
            if (const auto* arrived = std::get_if<BytesArrived>(&event.what)) outcome_.stored[arrived->port] += arrived->bytes;
            if (const auto* change = std::get_if<PortChanged>(&event.what); change && change->port == instrument_)
                outcome_.states.emplace_back(change->state == PortState::opened ? "opened" : "lost");
            return true;
        });
    }

    std::size_t instrument_;
    When when_;
    bool ends_;
    std::filesystem::path folder_;
    std::array<PseudoTerminal, 3> terminals_;
    live::LiveJob* job_ = nullptr;
    Press press_;
    Outcome outcome_;
    long steps_ = 0, mark_ = 0;
    int doing_ = waiting;
    bool unplugged_once_ = false;
};

struct Case {
    std::size_t instrument;
    When when;
    bool ends;
    Outcome outcome = {};
};

// All at the same time: each of them mostly waits.
void work_all(std::vector<Case>& cases) {
    std::vector<std::thread> threads;
    for (Case& one : cases) threads.emplace_back([&one] { one.outcome = Mechanic(one.instrument, one.when, one.ends).work(); });
    for (auto& thread : threads) thread.join();
}

void check(const Case& one) {
    const Outcome& outcome = one.outcome;
    std::string warnings;
    for (const auto& warning : outcome.judgement.warnings) warnings += fmt::format("{}: {}\n", warning.rule, warning.says);
    INFO(instruments[one.instrument] << " unplugged " << when_names[static_cast<std::size_t>(one.when)] << (one.ends ? ", then the job ended" : ""));
    INFO(warnings);
    CHECK(outcome.error.empty());
    CHECK(outcome.recorded);
    CHECK(outcome.ending == (one.ends ? "ended by hand" : "done"));
    // Nothing that was said is missing from the record.
    for (std::size_t i = 0; i < 3; ++i) {
        INFO(instruments[i]);
        INFO(outcome.written[i].size() << " bytes said, " << outcome.stored[i].size() << " in the record");
        CHECK((outcome.stored[i] == outcome.written[i]));
    }
    CHECK(outcome.zeroed_at_begin);
    if (one.when == When::never) {
        CHECK(outcome.states == std::vector<std::string>{"opened"});
        CHECK(outcome.zeroed_at_end);
    } else {
        CHECK(outcome.states.size() == (one.ends ? 2u : 3u));
        CHECK_FALSE((!one.ends && outcome.zeroed_after_replug));
        CHECK(outcome.zeroed_at_end == (one.when == When::before_begin));
    }
    CHECK(outcome.was_sent_back == (one.when == When::before_begin));
    // Gone before the begin and zeroed again, or gone when the ring was out: no doubt. Else nobody can tell.
    const bool no_doubt = one.when == When::never || one.when == When::before_begin || one.when == When::clear;
    CHECK(call_id(outcome.judgement.call) == (no_doubt ? call_id(Call::nothing_unusual) : call_id(Call::cant_tell)));
    if (!one.ends) {
        CHECK(outcome.phase == Phase::clear);
        CHECK(outcome.judgement.break_loose.has_value());
    }
}

}  // namespace

TEST_CASE("a mechanic's job with an instrument unplugged before the begin or in the middle", "[mechanic]") {
    std::vector<Case> cases = {
        {0, When::never, false}, {0, When::before_begin, false}, {1, When::loading, false}, {0, When::loading, true}};
    work_all(cases);
    for (const Case& one : cases) check(one);
}

TEST_CASE("a mechanic's job with each instrument unplugged in each phase", "[.long][mechanic]") {
    std::vector<Case> cases;
    for (std::size_t instrument = 0; instrument < 3; ++instrument)
        for (const When when : {When::before_begin, When::slack, When::loading, When::after_release, When::sliding, When::clear})
            for (const bool ends : {false, true})
                if (!ends || (when != When::before_begin && when != When::clear)) cases.push_back({instrument, when, ends});
    work_all(cases);
    for (const Case& one : cases) check(one);
}

}  // namespace halfturn::test
