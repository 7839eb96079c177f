#include "record/recorder.hpp"

#include <pthread.h>
#include <sched.h>

#include <utility>

#include "core/number_text.hpp"

namespace halfturn::record {
namespace {

// Long runs (a log read at full speed, a stalled disk) are cut into blocks that are quick to write and to read back.
constexpr std::size_t full_block = std::size_t{256} << 10;
// Of a log no more than this waits.
constexpr std::size_t most_of_a_log = 4 * full_block;
// Readings that wait while the disk stalls; some minutes of a quick bench, 8 MB.
constexpr std::size_t most_readings = 100'000;
// A lock for each reading would cost more than the reading.
constexpr std::size_t handed_over_at_once = 256;

std::string since(std::chrono::steady_clock::duration span) {
    return fixed_text(std::chrono::duration<double>(span).count(), 1) + " s";
}

}  // namespace

Recorder::Recorder(std::string path, const SetUp& set_up, const RecorderOptions& options)
    : path_(std::move(path)), set_up_(set_up), options_(options), retry_at_(Clock::now()) {
    thread_ = std::thread([this] { run(); });
    std::unique_lock lock(mutex_);
    if (!done_.wait_for(lock, Milliseconds(2000), [this] { return tried_; })) {
        trouble_ = Trouble::stopped;
        detail_ = "the store " + path_ + " takes long to open; the job is kept in memory until it does";
    }
}

Recorder::~Recorder() {
    {
        const std::lock_guard lock(mutex_);
        closing_ = true;
    }
    wake_.notify_one();
    thread_.join();
}

void Recorder::add(const Event& event) {
    bool full = false;
    {
        std::unique_lock lock(mutex_);
        if (fresh_.size() >= handed_over_at_once) hand_over_readings();
        if (options_.origin == Origin::log) done_.wait(lock, [this] { return has_room(); });
        if (trouble_ == Trouble::for_good || cut_short_) {
            cut_short_ = true;
            return;
        }
        if (all_waiting_ >= options_.most_waiting_bytes) {
            cut_short_ = true;  // never a gap: from here on nothing more is taken
            return;
        }
        if (waiting_.empty() || waiting_.back().events.size() >= full_block) {
            full = !waiting_.empty();
            waiting_.emplace_back();
            waiting_.back().oldest = Clock::now();
        }
        Block& block = waiting_.back();
        const std::size_t before = block.events.size();
        append_event_bytes(event, block.events);
        all_waiting_ += block.events.size() - before;
        block.last_seq = last_added_ = event.seq;
    }
    if (full) wake_.notify_one();  // the thread looks often enough for all else, and being woken it would be in the judge's way
}

bool Recorder::has_room() const {
    return (all_waiting_ < most_of_a_log && readings_.size() < most_readings / 2) || trouble_ != Trouble::none;
}

void Recorder::add_reading(const DecodedReading& reading) { fresh_.push_back(reading); }

void Recorder::hand_over_readings() {
    if (fresh_.empty()) return;
    samples_wanted_ = true;
    if (!samples_lost_ && !cut_short_ && trouble_ != Trouble::for_good) {
        samples_lost_ = readings_.size() + fresh_.size() > most_readings;
        if (samples_lost_) readings_ = {};
        else readings_.insert(readings_.end(), fresh_.begin(), fresh_.end());
    }
    fresh_.clear();
}

void Recorder::flush_soon() {
    {
        const std::lock_guard lock(mutex_);
        flush_ = true;
    }
    wake_.notify_one();
}

bool Recorder::wait_until_recorded(Milliseconds most) {
    std::unique_lock lock(mutex_);
    flush_ = true;
    wake_.notify_one();
    done_.wait_for(lock, most, [this] { return all_waiting_ == 0 || trouble_ == Trouble::for_good; });
    return all_waiting_ == 0 && trouble_ == Trouble::none && !cut_short_;
}

bool Recorder::finish(const std::string& ending, const std::optional<Judged>& judged, Milliseconds most) {
    std::unique_lock lock(mutex_);
    hand_over_readings();
    ending_ = ending;
    judged_ = judged;
    wake_.notify_one();
    done_.wait_for(lock, most, [this] { return ended_ || trouble_ == Trouble::for_good; });
    return ended_ && !cut_short_;
}

Recorder::Health Recorder::health_now() const {
    Health health;
    health.waiting_bytes = all_waiting_;
    health.for_good = trouble_ == Trouble::for_good || cut_short_;
    std::optional<Clock::time_point> oldest = oldest_in_hand_;
    if (!oldest && !waiting_.empty()) oldest = waiting_.front().oldest;
    const auto age = oldest ? Clock::now() - *oldest : Clock::duration::zero();
    if (health.for_good) {
        health.state = Recording::stopped;
        const std::string why = detail_.empty() ? "more was waiting for the disk than the memory set aside for it" : detail_;
        health.detail = why + "; the record of this job ends with event " +
                        std::to_string(trouble_ == Trouble::for_good ? committed_seq() : last_added_);
    } else if (trouble_ == Trouble::stopped || trouble_ == Trouble::late) {
        health.state = trouble_ == Trouble::stopped ? Recording::stopped : Recording::late;
        health.detail = detail_ + "; the last " + since(age) + " wait in memory";
    } else if (age > options_.late_after) {
        health.state = Recording::late;
        health.detail = "the disk is slow: the last " + since(age) + " wait in memory";
    }
    return health;
}

Recorder::Health Recorder::health() {
    const std::lock_guard lock(mutex_);
    return health_now();
}

std::optional<RecorderState> Recorder::take_change() {
    const std::lock_guard lock(mutex_);
    const Health health = health_now();
    if (health.state == told_ && health.for_good == told_for_good_) return {};
    told_ = health.state;
    told_for_good_ = health.for_good;
    return RecorderState{health.state, health.detail};
}

std::string Recorder::job_id() {
    const std::lock_guard lock(mutex_);
    return job_id_;
}

std::int64_t Recorder::job_number() {
    const std::lock_guard lock(mutex_);
    return job_number_;
}

std::vector<std::string> Recorder::remarks() {
    const std::lock_guard lock(mutex_);
    return remarks_;
}

// ---- the thread -------------------------------------------------------------------------------------------------------

Recorder::Clock::time_point Recorder::next_due() const {
    if (trouble_ == Trouble::for_good) return Clock::time_point::max();
    if (trouble_ != Trouble::none || job_number_ == 0) return retry_at_;
    if (flush_ || (ending_ && !ended_)) return Clock::time_point::min();
    if (waiting_.size() > 1) return Clock::time_point::min();  // a full block
    return (waiting_.empty() ? Clock::now() : waiting_.front().oldest) + options_.commit_every;
}

void Recorder::run() {
    // Never takes a processor away from the judge or the screens only because its own turn has come.
    const sched_param no_priority{};
    ::pthread_setschedparam(::pthread_self(), SCHED_BATCH, &no_priority);
    std::unique_lock lock(mutex_);
    bool last = false;
    while (!last) {
        while (!closing_) {
            const auto due = next_due();
            if (due <= Clock::now()) break;
            if (due == Clock::time_point::max()) wake_.wait(lock);
            else wake_.wait_until(lock, due);
        }
        last = closing_;
        if (trouble_ == Trouble::for_good) continue;
        flush_ = false;
        lock.unlock();
        work();
        lock.lock();
        tried_ = true;
        done_.notify_all();
    }
}

void Recorder::work() {
    try {
        if (!job_) open_and_begin();
        write_blocks();
        write_end();
        take_readings();  // after the end: whoever asked for it handed over the last readings with it
        report(Trouble::none, {});
        finish_samples();
    } catch (const SqlError& error) {
        if (error.disk_full()) report(Trouble::stopped, "the disk that holds " + path_ + " is full: make room on it");
        else if (error.busy()) report(Trouble::late, "another program keeps the store " + path_ + " busy");
        else if (error.damaged()) report(Trouble::for_good, error.what());
        else if (error.refused()) report(Trouble::for_good, error.what());
        else report(Trouble::stopped, error.what());
    } catch (const BadInput& error) {
        report(Trouble::for_good, error.what());
    } catch (const std::exception& error) {
        report(Trouble::stopped, error.what());
    }
}

void Recorder::report(Trouble trouble, const std::string& detail) {
    const std::lock_guard lock(mutex_);
    if (trouble_ != Trouble::for_good) {
        trouble_ = trouble;
        detail_ = detail;
    }
    retry_at_ = Clock::now() + options_.retry_every;
}

void Recorder::open_and_begin() {
    store_.reset();
    store_.emplace(Store::open(path_, Mode::write));
    std::vector<std::string> remarks = store_->remarks();
    if (store_->read_only()) throw BadInput(remarks.empty() ? "the store " + path_ + " is only read" : remarks.back());
    OpenJob begun;
    try {
        begun = store_->begin_job(set_up_, options_.origin);
    } catch (const SqlError& error) {
        if (!error.damaged()) throw;
        store_.reset();
        const std::string aside = Store::move_aside(path_);
        remarks.push_back(std::string(error.what()) + ". It was kept as " + aside + " and a new one was started");
        store_.emplace(Store::open(path_, Mode::write));
        begun = store_->begin_job(set_up_, options_.origin);
    }
    job_.emplace(std::move(begun));
    if (options_.origin == Origin::log) store_->sync_each_commit(false);
    const std::lock_guard lock(mutex_);
    job_id_ = job_->job_id;
    job_number_ = job_->number;
    remarks_ = remarks;
}

void Recorder::write_blocks() {
    while (true) {
        if (!in_hand_) {
            const std::lock_guard lock(mutex_);
            if (waiting_.empty()) return;
            in_hand_ = std::move(waiting_.front());
            waiting_.pop_front();
            oldest_in_hand_ = in_hand_->oldest;
        }
        store_->add_block(*job_, in_hand_->events);
        need_store_in_place();
        const std::lock_guard lock(mutex_);
        all_waiting_ -= in_hand_->events.size();
        committed_seq_.store(in_hand_->last_seq, std::memory_order_release);
        in_hand_.reset();
        oldest_in_hand_.reset();
        done_.notify_all();
    }
}

// Rows written into a file that is no longer there are not recorded, whatever SQLite thinks. Asked before each promise.
void Recorder::need_store_in_place() {
    if (store_->database().moved())
        throw BadInput("the store " + path_ + " was moved away or removed while the job was running");
}

void Recorder::write_end() {
    std::string ending;
    std::optional<Judged> judged;
    {
        const std::lock_guard lock(mutex_);
        if (!ending_ || ended_ || !waiting_.empty()) return;
        ending = *ending_;
        // A judgement of more than what is on record could never be found again from the record.
        if (cut_short_) ending += "; the record ends earlier, with event " + std::to_string(last_added_) + ": the disk could not keep up";
        else judged = judged_;
    }
    store_->sync_each_commit(true);
    store_->end_job(*job_, ending, judged);
    need_store_in_place();
    const std::lock_guard lock(mutex_);
    ended_ = true;
    done_.notify_all();
}

// Whatever goes wrong with the samples, the record goes on without them.
void Recorder::take_readings() {
    {
        const std::lock_guard lock(mutex_);
        if (!samples_wanted_) return;
        if (samples_lost_) return samples_.reset();
        readings_in_hand_.swap(readings_);
    }
    try {
        if (!samples_) samples_.emplace(store_->database(), job_->number, set_up_, options_.origin);
        for (const DecodedReading& reading : readings_in_hand_) samples_->add(reading);
        if (samples_->wants_to_write()) samples_->write();
    } catch (const std::exception&) {
        lose_samples();
    }
    readings_in_hand_.clear();
}

void Recorder::finish_samples() {
    {
        const std::lock_guard lock(mutex_);
        if (!samples_ || !ended_ || samples_lost_ || cut_short_) return;
    }
    try {
        samples_->finish(job_->events);
    } catch (const std::exception&) {
        lose_samples();
    }
    samples_.reset();
    const std::lock_guard lock(mutex_);
    samples_wanted_ = false;
}

void Recorder::lose_samples() {
    samples_.reset();
    const std::lock_guard lock(mutex_);
    samples_lost_ = true;
    readings_ = {};
}

}  // namespace halfturn::record
