// One job at the bench: instruments, judge and recorder put together, from the first silent second to the summary. All on
// the sequencer's thread; screens look at it after every change and own nothing of it.
#pragma once

#include <cstdint>
#include <functional>
#include <memory>
#include <optional>
#include <string>
#include <vector>

#include "core/set_up.hpp"
#include "live/practice_child.hpp"
#include "ports/sequencer.hpp"
#include "record/recorder.hpp"
#include "watch/judge.hpp"

namespace halfturn::live {

enum class Stage : std::uint8_t {
    opening,   // waiting until every instrument is there and speaks sense
    ready,     // they do; waiting for the zero with the stack loose, then for the begin; back to opening when one is unplugged
    running,
    ended,
    refused,   // an instrument is silent, faulted, saturated or in the wrong unit: the job was not started
};

struct Options {
    std::string store_path;
    std::string practice;          // scenario, or empty for the real rig
    std::uint64_t seed = 1;
    double brisk = 1;              // factor on the practice hand's speed once the ring moves
    bool unattended = false;       // zero, begin and end by itself: no keyboard and no page
    double patience_s = 6;         // how long an instrument may take to be there and speak sense
    bool record = true;            // false: nothing is kept, for measuring what keeping costs
    std::vector<Event> instead;    // of instruments: bytes, port changes and ticks of a job before, in that job's own time
};

class LiveJob {
public:
    LiveJob(SetUp set_up, Options options);
    ~LiveJob();

    // Called after every event that a screen may want to show, on the loop's thread.
    std::function<void()> on_change;

    void run();  // until the job has ended or was refused; then the record is complete

    // Acts, on the loop's thread.
    void zero();
    void begin();
    void acknowledge();
    void silence();
    void flat();
    void note(const std::string& text);
    void skipped(const std::string& step);
    void end(const std::string& why);

    Stage stage() const { return stage_; }
    // While opening or refused: one sentence for each instrument that is not ready, with how to mend it.
    std::vector<std::string> not_ready() const;
    // Why ports can't be opened yet; they are tried again until the patience ends.
    std::vector<std::string> ports_missing() const;
    const Judge& judge() const { return judge_; }
    const SetUp& set_up() const { return judge_.set_up(); }
    Sequencer& loop() { return *sequencer_; }
    std::string job_id() { return recorder_ ? recorder_->job_id() : std::string(); }
    std::vector<std::string> recorder_remarks() { return recorder_ ? recorder_->remarks() : std::vector<std::string>(); }
    const std::string& ending() const { return ending_; }
    bool recorded() const { return recorded_; }
    const std::string& record_problem() const { return record_problem_; }
    // Zeroed with the stack loose, and no port was lost since: an instrument that was unplugged may have lost its zero.
    bool zeroed() const { return zero_stands_ && judge_.snapshot().zeroed; }
    bool sound_silenced() const { return silenced_at_warning_ >= judge_.warnings().size(); }

private:
    void take(const Event& event);
    void follow_port(const PortChanged& change);
    void follow_instruments();
    void follow_job();
    void start_practice();
    void tell_the_hand();
    void finish();
    struct Look {                  // what a channel's start check has seen
        int readings = 0;
        std::string trouble;       // newest reason why it is not ready
    };

    Options options_;
    std::unique_ptr<PracticeChild> practice_;
    Judge judge_;
    std::unique_ptr<record::Recorder> recorder_;
    std::unique_ptr<Sequencer> sequencer_;
    Stage stage_ = Stage::opening;
    std::vector<Look> looks_;
    std::string ending_, record_problem_, practice_problem_;
    bool recorded_ = false, practice_done_ = false, zero_stands_ = true, was_ready_ = false;
    Instant opening_since_ = 0;
    std::size_t warnings_told_ = 0, silenced_at_warning_ = 0;
    HandWord told_word_ = HandWord::wait;
    Instant quiet_since_ = -1, done_since_ = -1;
};


}  // namespace halfturn::live
