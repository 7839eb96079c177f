// Writes a running job to the store on its own thread, so that a slow disk never holds up the bench.
//   Recorder recorder(path, set_up);          // tell recorder.job_id(), or recorder.take_change() when it can't record
//   recorder.add(event);                      // for every event; costs a copy of its bytes
//   if (auto change = recorder.take_change()) sequencer.add(*change);   // at every tick
//   recorder.finish("ended by the operator", judged);
//
// What it promises: events reach the disk (synced) at the latest 100 ms after add() while the disk answers, at once after
// flush_soon(); committed_seq() tells how far that is so. What is recorded is always an unbroken run of events from the
// first on, never one with a gap.
// When the store can't be written (disk full, busy, failing, not to be opened) it keeps the events in memory, says so, and
// goes on trying, four times a second. It keeps at most `most_waiting_bytes`; beyond that, or when the store was moved
// away, removed, damaged or the job was closed by somebody else, it stops for good and says how far the record goes.
//
// A log (Origin::log) is read faster than a disk writes, and can be read again: add() waits until there is room, and what was
// added is synced with the job's end, not before.
//
// Decoded readings may be given along with the events they came with. They become the job's compact samples, encoded and
// written on the recorder's thread after the events, finished after the job's end is on the disk. They are not the record:
// at the first trouble with them they are let go, and made again from the events when somebody wants them.
#pragma once

#include <atomic>
#include <chrono>
#include <condition_variable>
#include <cstdint>
#include <deque>
#include <mutex>
#include <optional>
#include <string>
#include <thread>
#include <vector>

#include "core/event.hpp"
#include "core/set_up.hpp"
#include "record/sample_store.hpp"
#include "record/store.hpp"
#include "watch/decoded_reading.hpp"

namespace halfturn::record {

struct RecorderOptions {
    Origin origin = Origin::live;
    std::size_t most_waiting_bytes = std::size_t{64} << 20;     // over half an hour of a usual bench
    std::chrono::milliseconds commit_every{80};                 // leaves a commit 20 ms of the promised 100
    std::chrono::milliseconds late_after{2000};                 // a commit with a checkpoint on a disk that stalls half a second
    std::chrono::milliseconds retry_every{250};                 // after the store refused
};

class Recorder {
public:
    using Milliseconds = std::chrono::milliseconds;

    // Opens the store and begins the job; waits for that at most two seconds. Never throws for a store that can't be used:
    // then it is `stopped` from the start, and goes on trying.
    Recorder(std::string path, const SetUp& set_up, const RecorderOptions& options = {});
    ~Recorder();  // tries once more to write what is waiting; a job that was not finished will be found cut off
    Recorder(const Recorder&) = delete;
    Recorder& operator=(const Recorder&) = delete;

    // From one thread, in order of seq from 1. A live job's never waits for the disk.
    void add(const Event& event);
    void add_reading(const DecodedReading& reading);  // all of an event's, after it was added; from the same thread
    void flush_soon();                        // a warning, a port change, an operator's act: commit now
    bool wait_until_recorded(Milliseconds most);  // false when it did not come to that

    // Ends the job with what the judge made of it, and waits until that is on the disk. False when it could not be done in
    // time; take_change() or health() says why. Nothing may be added afterwards.
    bool finish(const std::string& ending, const std::optional<Judged>& judged, Milliseconds most = Milliseconds(10000));

    std::optional<RecorderState> take_change();  // the state, when it is not what the last call told; at first told: on

    struct Health {
        Recording state = Recording::on;
        std::string detail;
        std::size_t waiting_bytes = 0;
        bool for_good = false;                // will not try again
    };
    Health health();
    std::uint64_t committed_seq() const { return committed_seq_.load(std::memory_order_acquire); }
    std::string job_id();                     // empty until the job could be begun
    std::int64_t job_number();
    std::vector<std::string> remarks();       // what opening the store had to say

private:
    using Clock = std::chrono::steady_clock;
    struct Block {
        std::string events;                   // canonical bytes
        std::uint64_t last_seq = 0;
        Clock::time_point oldest;
    };
    enum class Trouble : std::uint8_t { none, late, stopped, for_good };

    void run();
    void work();
    void open_and_begin();
    void write_blocks();
    void write_end();
    void take_readings();
    void finish_samples();
    void lose_samples();
    void need_store_in_place();
    bool has_room() const;                    // mutex_ held
    void hand_over_readings();                // mutex_ held
    void report(Trouble trouble, const std::string& detail);
    Clock::time_point next_due() const;       // mutex_ held
    Health health_now() const;                // mutex_ held

    const std::string path_;
    const SetUp set_up_;
    const RecorderOptions options_;
    std::vector<DecodedReading> fresh_;       // the adding thread's own: readings not handed over yet

    std::mutex mutex_;                        // guards what follows, up to the thread's own
    std::condition_variable wake_, done_;
    std::deque<Block> waiting_;               // the last one is being filled by add()
    std::size_t all_waiting_ = 0;             // bytes not yet on the disk
    std::vector<DecodedReading> readings_;    // for the samples
    bool samples_wanted_ = false, samples_lost_ = false;
    std::optional<Clock::time_point> oldest_in_hand_;  // of the block the thread is writing
    std::uint64_t last_added_ = 0;
    bool flush_ = false, closing_ = false, ended_ = false, tried_ = false;
    bool cut_short_ = false;                  // events were turned away: the record ends before the job does
    std::optional<std::string> ending_;
    std::optional<Judged> judged_;
    Trouble trouble_ = Trouble::none;
    std::string detail_;
    Clock::time_point retry_at_;
    std::string job_id_;
    std::int64_t job_number_ = 0;
    std::vector<std::string> remarks_;
    Recording told_ = Recording::on;
    bool told_for_good_ = false;
    std::atomic<std::uint64_t> committed_seq_{0};

    std::optional<Block> in_hand_;            // the thread's own: kept until it is on the disk
    std::optional<Store> store_;              // the thread's own
    std::optional<OpenJob> job_;
    std::optional<SampleWriter> samples_;
    std::vector<DecodedReading> readings_in_hand_;
    std::thread thread_;
};

}  // namespace halfturn::record
