// The judge: fed a job's events in order, it follows the press, warns, and can say at any time what it makes of the job.
// Pure: no clock, no files, no locale. The same events and set-up give the same bits, live or a year later.
//
//   Judge judge(set_up);
//   for (const Event& event : events) judge.on(event);
//   judge.judgement().call;
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "core/event.hpp"
#include "core/framer.hpp"
#include "watch/decoded_reading.hpp"
#include "watch/gate.hpp"
#include "watch/progress.hpp"
#include "watch/rule.hpp"
#include "watch/verdict.hpp"

namespace halfturn {

// What a screen shows right now. A number that may not be used is absent, never the last good one.
struct Snapshot {
    Instant at = 0;
    HandWord word = HandWord::wait;
    std::string next;                    // the next thing to do, one sentence
    Phase phase = Phase::slack;
    Call call = Call::nothing_unusual;   // so far
    bool began = false, zeroed = false, unloaded = true, loaded_at_start = false;
    bool stop_latched = false;           // a stop that was not yet cleared
    std::optional<double> force_N, heading_N, turns_from_contact, turns_per_s, ring_mm, slid_mm;
    std::optional<BreakLoose> break_loose;
    double peak_N = 0;
    Recording recording = Recording::on;
    struct Channel {
        Measure measures;
        std::optional<double> value;     // N, turns or mm
        double age_s = 0;                // since its last good reading
        double readings_per_s = 0;
        bool heard = false;
    };
    std::vector<Channel> channels;
    std::size_t warnings = 0;            // how many so far; see Judge::warnings()
};

class Judge {
public:
    explicit Judge(SetUp set_up);
    Judge(const Judge&) = delete;
    Judge& operator=(const Judge&) = delete;

    void on(const Event& event);

    const SetUp& set_up() const { return set_up_; }
    const std::vector<Warning>& warnings() const { return warnings_; }
    // Every instrument item that came with the newest event, for listening screens and start checks.
    struct Heard { std::uint16_t port = 0; Item item = {}; Instant at = 0; };
    const std::vector<Heard>& heard_now() const { return heard_now_; }
    Snapshot snapshot() const;
    Judgement judgement() const;  // as if the job had ended here
    // True when the zero asked for last was refused: a force channel lies outside what a loose stack may show, or has
    // too few readings.
    bool zero_refused() const { return zero_refused_; }

    // Every sample the judge looked at, in order: for curves and exports. Called from on().
    using SampleSink = std::function<void(const Sample&)>;
    void set_sample_sink(SampleSink sink) { sample_sink_ = std::move(sink); }

    // Every reading a channel was given, in order, with what its gate made of it: for the compact samples. Called from on().
    using ReadingSink = std::function<void(const DecodedReading&)>;
    void set_reading_sink(ReadingSink sink) { reading_sink_ = std::move(sink); }

private:
    void bytes(std::uint16_t port, const std::string& bytes, Instant at);
    void item(std::uint16_t port, const Item& item, Instant at);
    void reading(std::uint16_t port, const Reading& reading, Instant at);
    void trouble(Trouble trouble);
    void gather(Instant at);
    void flush_sample();
    void tick(Instant at);
    void operator_did(const OperatorDid& did, Instant at);
    void port_changed(const PortChanged& change, Instant at);
    void restart_framer(std::uint16_t port);
    View view() const { return {set_up_, now_, progress_, gates_, last_heard_, !warnings_.empty()}; }
    template <class Ask> void ask_rules(Instant at, Ask ask);
    Warning make_warning(const Rule& rule, Instant at, std::string says) const;
    HandWord word() const;
    std::string next_thing() const;
    bool stop_stands() const;  // warned of, and not cleared yet
    bool stop_is_over() const;  // cleared: its rule will not warn again in this job, so this job is not gone on with
    std::string fingerprint(const Judgement& judgement) const;

    SetUp set_up_;
    std::vector<Framer> framers_;
    std::vector<Instant> newest_on_port_;
    std::vector<Gate> gates_;
    std::vector<Instant> last_heard_;
    Progress progress_;
    struct Held { std::unique_ptr<Rule> rule; bool fired; };
    std::vector<Held> rules_;
    std::vector<Warning> warnings_;
    std::vector<Heard> heard_now_;
    Sample now_;
    bool gathering_ = false;
    bool began_ = false, ended_ = false, zeroed_ = false, zero_refused_ = false, stop_cleared_ = false;
    bool flats_by_hand_ = false;
    Recording recording_ = Recording::on;
    Instant now_at_ = 0;
    std::uint64_t sample_mix_ = 1469598103934665603u;  // FNV-1a over every sample's bits: part of the fingerprint
    std::uint64_t sample_count_ = 0;
    SampleSink sample_sink_;
    ReadingSink reading_sink_;
};

}  // namespace halfturn
