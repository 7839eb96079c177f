#include "live/live_job.hpp"

#include <algorithm>

#include "core/failure.hpp"
#include "watch/judgement_json.hpp"

namespace halfturn::live {
namespace {

constexpr int readings_for_ready = 3;
constexpr Instant settle_before_zero = 600'000'000;        // an average needs readings
constexpr Instant end_after_unloaded = 2 * nanoseconds_per_second;
constexpr Instant end_after_silence = 15 * nanoseconds_per_second;  // unattended, every instrument gone
constexpr auto finish_within = std::chrono::milliseconds(8000);

std::string mend_unit(const PortSetUp& port, std::string_view wire, std::string_view wanted) {
    return "\"" + port.name + "\" speaks in " + std::string(wire) + ", the rig file says " + std::string(wanted) +
           "; press its unit key, or set the unit in the rig file";
}

std::string mend_fault(const PortSetUp& port, const Fault& fault) {
    std::string mend;
    switch (fault.code) {
        case FaultCode::overload:
        case FaultCode::underload:
        case FaultCode::overrange:
        case FaultCode::saturated: mend = "unload the cell and check its plug"; break;
        case FaultCode::line_settings: mend = "set bits, parity and stop of its [[port]] as its manual says"; break;
        case FaultCode::sensor:
        case FaultCode::no_data: mend = "check its plug and wipe its scale"; break;
        default: mend = "look at what it shows, then try again";
    }
    return "\"" + port.name + "\" reports " + std::string(fault_name(fault.code)) +
           (fault.detail.empty() ? "" : " (" + fault.detail + ")") + "; " + mend;
}

}  // namespace

LiveJob::LiveJob(SetUp set_up, Options options) : options_(std::move(options)), judge_(std::move(set_up)) {
    looks_.resize(judge_.set_up().channels.size());
    if (judge_.set_up().ports.empty())
        throw BadInput("the rig file has no [[port]]; add the instruments (`halfturn example rig` shows how)");
    if (!options_.practice.empty())
        practice_ = std::make_unique<PracticeChild>(judge_.set_up(), options_.practice, options_.seed, options_.brisk);
    if (options_.record) {
        recorder_ = std::make_unique<record::Recorder>(options_.store_path, judge_.set_up());
        judge_.set_reading_sink([this](const DecodedReading& reading) { recorder_->add_reading(reading); });
    }
    sequencer_ = std::make_unique<Sequencer>(judge_.set_up(), [this](const Event& event) { take(event); });
}

LiveJob::~LiveJob() = default;

void LiveJob::run() {
    sequencer_->on_signal([this](int) { end("ended by hand (signal)"); });
    if (!options_.instead.empty()) sequencer_->feed(std::move(options_.instead), [this] { end("the events given are over"); });
    else if (practice_) start_practice();
    else sequencer_->open_ports();
    if (sequencer_->hopeless()) {
        stage_ = Stage::refused;
        finish();
        return;
    }
    sequencer_->run();
    finish();
}

void LiveJob::start_practice() {
    sequencer_->watch_input(practice_->output(), [this](std::string_view bytes) {
        for (const auto& news : practice_->take(bytes)) {
            if (news.what == PracticeChild::News::What::device) {
                const auto& ports = set_up().ports;
                for (std::size_t i = 0; i < ports.size(); ++i)
                    if (ports[i].name == news.port) sequencer_->rename_port(static_cast<std::uint16_t>(i), news.device);
            } else if (news.what == PracticeChild::News::What::ready) {
                if (!sequencer_->open_ports().empty()) {
                    stage_ = Stage::refused;
                    sequencer_->stop();
                }
            } else {
                practice_done_ = true;
            }
        }
        // Its ports are gone with it; the kernel may hand their names to somebody else's at any moment.
        if (bytes.empty() && (stage_ == Stage::ready || stage_ == Stage::running)) return end("the practice rig has gone");
        if (bytes.empty() && stage_ == Stage::opening) {
            practice_problem_ = "the practice rig ended before it was ready";
            stage_ = Stage::refused;
            sequencer_->stop();
        }
    });
}

void LiveJob::take(const Event& event) {
    if (stage_ == Stage::ended || stage_ == Stage::refused) return;
    if (recorder_) recorder_->add(event);
    judge_.on(event);
    if (const auto* change = std::get_if<PortChanged>(&event.what)) follow_port(*change);
    if (const auto* did = std::get_if<OperatorDid>(&event.what); did && did->act == Act::zero && !judge_.zero_refused())
        zero_stands_ = true;
    const bool warned = judge_.warnings().size() > warnings_told_;
    warnings_told_ = judge_.warnings().size();
    if (stage_ == Stage::opening) follow_instruments();
    const bool tick = std::holds_alternative<Tick>(event.what);
    if (const auto change = tick && recorder_ ? recorder_->take_change() : std::nullopt) {
        sequencer_->recorder_says(change->state, change->detail);  // and that event brings the screens up to date
    } else {
        if (tick) follow_job();
        if (practice_) tell_the_hand();
        if (on_change) on_change();
    }
    // After the screens: with few processors, whoever is woken first is served first.
    const bool commit = warned || std::holds_alternative<OperatorDid>(event.what) || std::holds_alternative<PortChanged>(event.what);
    if (recorder_ && commit) recorder_->flush_soon();
}

// Unplugged before the begin: nobody may begin without it. Unplugged at any time: its zero may be gone.
void LiveJob::follow_port(const PortChanged& change) {
    const SetUp& s = set_up();
    for (std::size_t i = 0; i < looks_.size(); ++i) {
        if (s.channels[i].port != change.port) continue;
        looks_[i] = {};
        if (change.state == PortState::lost) looks_[i].trouble = "\"" + s.ports[change.port].name + "\" is gone; plug it in again";
    }
    if (change.state != PortState::lost) return;
    zero_stands_ = false;
    if (stage_ != Stage::ready) return;
    stage_ = Stage::opening;
    opening_since_ = sequencer_->now();
}

// An instrument is ready when it has spoken sense three times in a row.
void LiveJob::follow_instruments() {
    const SetUp& s = set_up();
    for (const Judge::Heard& heard : judge_.heard_now()) {
        for (std::size_t i = 0; i < s.channels.size(); ++i) {
            const ChannelSetUp& channel = s.channels[i];
            const PortSetUp& port = s.ports[channel.port];
            if (channel.port != heard.port) continue;
            if (const auto* reading = std::get_if<Reading>(&heard.item)) {
                if (!channel.index.empty() && reading->channel.view() != channel.index) continue;
                if (channel.unit != Unit::none && reading->unit != channel.unit && reading->unit != Unit::none) {
                    looks_[i] = {0, mend_unit(port, unit_name(reading->unit), unit_name(channel.unit))};
                } else if (!is_live(reading->kind)) {
                    looks_[i] = {0, "\"" + port.name + "\" sends its " + std::string(kind_name(reading->kind)) +
                                        " value; switch it to the live one"};
                } else {
                    ++looks_[i].readings;
                    looks_[i].trouble.clear();
                }
            } else if (const auto* fault = std::get_if<Fault>(&heard.item); fault && !is_advisory(fault->code)) {
                looks_[i] = {0, mend_fault(port, *fault)};
            } else if (std::get_if<Reject>(&heard.item) && looks_[i].readings == 0 && looks_[i].trouble.empty()) {
                looks_[i].trouble = "\"" + port.name + "\" sends bytes that are no " + port.format +
                                    " frames; check the format and the line settings in the rig file";
            }
        }
    }
    const bool all = std::all_of(looks_.begin(), looks_.end(), [&](const Look& look) {
        const auto index = static_cast<std::size_t>(&look - looks_.data());
        const double silence_s = s.ports[s.channels[index].port].silence_s;
        // An instrument that prints on change can't be asked for more than its silence.
        return look.trouble.empty() && (look.readings >= readings_for_ready || (silence_s <= 0 && look.readings > 0));
    });
    if (all) {
        stage_ = Stage::ready;
        was_ready_ = true;
        quiet_since_ = sequencer_->now();
    } else if (const bool somebody_waits = was_ready_ && !options_.unattended;
               !somebody_waits && seconds(sequencer_->now() - opening_since_) > options_.patience_s) {
        stage_ = Stage::refused;
        sequencer_->stop();
    }
}

std::vector<std::string> LiveJob::ports_missing() const {
    std::vector<std::string> out;
    for (std::size_t i = 0; i < set_up().ports.size(); ++i)
        if (const std::string& problem = sequencer_->port_problem(static_cast<std::uint16_t>(i)); !problem.empty()) out.push_back(problem);
    return out;
}

std::vector<std::string> LiveJob::not_ready() const {
    if (!practice_problem_.empty()) return {practice_problem_};
    std::vector<std::string> out = ports_missing();
    const SetUp& s = set_up();
    for (std::size_t i = 0; i < looks_.size(); ++i) {
        if (!sequencer_->port_problem(s.channels[i].port).empty()) continue;
        const PortSetUp& port = s.ports[s.channels[i].port];
        if (!looks_[i].trouble.empty()) out.push_back(looks_[i].trouble);
        else if (looks_[i].readings == 0)
            out.push_back("\"" + port.name + "\" is silent; switch it on, set it to send continuously, check the cable" +
                          (port.device.empty() ? "" : " at " + port.device));
    }
    return out;
}

void LiveJob::follow_job() {
    const Instant now = sequencer_->now();
    if (stage_ == Stage::ready && options_.unattended) {
        if (!zeroed() && now - quiet_since_ >= settle_before_zero) {
            zero();
            begin();
        }
        return;
    }
    if (stage_ != Stage::running || !options_.unattended) return;
    const Snapshot s = judge_.snapshot();
    const bool done =
        (s.phase == Phase::clear || (s.phase == Phase::home && s.unloaded) || (s.stop_latched && s.unloaded) || practice_done_);
    if (!done) done_since_ = -1;
    else if (done_since_ < 0) done_since_ = now;
    else if (now - done_since_ >= end_after_unloaded) return end(practice_done_ ? "the practice job is over" : "done");
    const bool any = std::any_of(s.channels.begin(), s.channels.end(), [](const auto& c) { return c.value.has_value(); });
    if (any) quiet_since_ = now;
    else if (now - quiet_since_ >= end_after_silence) end("every instrument has been silent for 15 s");
}

void LiveJob::tell_the_hand() {
    if (stage_ != Stage::running) return;
    const HandWord word = judge_.snapshot().word;
    if (word == told_word_) return;
    told_word_ = word;
    practice_->say("word " + std::string(hand_word(word)));
}

void LiveJob::zero() { sequencer_->operator_did(Act::zero); }

void LiveJob::begin() {
    if (stage_ != Stage::ready) return;
    stage_ = Stage::running;
    sequencer_->operator_did(Act::begin);
    if (practice_) {
        told_word_ = HandWord::turn;
        practice_->say("go");
    }
}

void LiveJob::acknowledge() { sequencer_->operator_did(Act::acknowledge); }

void LiveJob::silence() {
    silenced_at_warning_ = judge_.warnings().size();
    sequencer_->operator_did(Act::silence);
}

// Where an instrument tells the turn, a key that was meant to silence must not add to it.
void LiveJob::flat() {
    if (flats_by_hand(set_up())) sequencer_->operator_did(Act::flat);
}
void LiveJob::note(const std::string& text) { sequencer_->operator_did(Act::note, text); }
void LiveJob::skipped(const std::string& step) { sequencer_->operator_did(Act::skipped, step); }

void LiveJob::end(const std::string& why) {
    if (stage_ == Stage::ended || stage_ == Stage::refused) return;
    ending_ = why;
    const bool ran = stage_ == Stage::running;
    sequencer_->count_line_errors();
    sequencer_->operator_did(Act::end);
    stage_ = ran ? Stage::ended : Stage::refused;
    sequencer_->stop();
}

void LiveJob::finish() {
    const Judgement judgement = judge_.judgement();
    std::optional<record::Judged> judged;
    if (stage_ == Stage::ended)
        judged = record::Judged{judgement.judge, std::string(call_id(judgement.call)), judgement.fingerprint,
                                judgement_json(judgement, set_up(), job_id())};
    if (ending_.empty()) ending_ = stage_ == Stage::refused ? "not started: an instrument was not ready" : "done";
    if (!recorder_) return;
    recorded_ = recorder_->finish(ending_, judged, finish_within);
    if (!recorded_) record_problem_ = recorder_->health().detail;
}

}  // namespace halfturn::live
