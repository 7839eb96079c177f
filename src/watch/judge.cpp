#include "watch/judge.hpp"

#include <algorithm>
#include <bit>
#include <cmath>
#include <functional>

namespace halfturn {
namespace {

std::uint64_t mix(std::uint64_t hash, double value) {
    return (hash ^ std::bit_cast<std::uint64_t>(value)) * 1099511628211u;
}

}  // namespace

Judge::Judge(SetUp set_up)
    : set_up_(std::move(set_up)),
      progress_(set_up_, find_channel(set_up_, Measure::force), find_channel(set_up_, Measure::ring_travel)) {
    for (std::size_t i = 0; i < set_up_.ports.size(); ++i) restart_framer(static_cast<std::uint16_t>(i));
    newest_on_port_.assign(set_up_.ports.size(), -1);
    for (const ChannelSetUp& channel : set_up_.channels)
        gates_.emplace_back(channel, set_up_.ports[channel.port], set_up_.force_limit_N);
    last_heard_.assign(gates_.size(), -1);
    for (auto& rule : make_all_rules()) rules_.push_back({std::move(rule), false});
}

void Judge::restart_framer(std::uint16_t port) {
    const PortSetUp& p = set_up_.ports[port];
    Framer fresh(*find_format(p.format), p.settings, p.start, p.marked);
    if (port < framers_.size()) framers_[port] = std::move(fresh);
    else framers_.push_back(std::move(fresh));
}

void Judge::on(const Event& event) {
    heard_now_.clear();
    now_at_ = event.at;
    if (const auto* arrived = std::get_if<BytesArrived>(&event.what)) bytes(arrived->port, arrived->bytes, event.at);
    else if (const auto* sent = std::get_if<BytesSent>(&event.what)) {
        if (sent->port < framers_.size()) framers_[sent->port].sent(sent->bytes);
    } else if (const auto* change = std::get_if<PortChanged>(&event.what)) port_changed(*change, event.at);
    else if (const auto* did = std::get_if<OperatorDid>(&event.what)) operator_did(*did, event.at);
    else if (const auto* state = std::get_if<RecorderState>(&event.what)) {
        recording_ = state->state;
        ask_rules(event.at, [&](Rule& rule, const View&) { return rule.on_recorder(state->state, state->detail); });
    } else if (std::holds_alternative<Suspended>(event.what)) {
        // Nothing was heard while the machine slept, and that is no instrument's fault; silence counts from here.
        for (Instant& heard : last_heard_)
            if (heard >= 0) heard = event.at;
    } else if (std::holds_alternative<Tick>(event.what)) tick(event.at);
}

void Judge::bytes(std::uint16_t port, const std::string& bytes, Instant at) {
    if (port >= framers_.size()) return;
    const PortSetUp& p = set_up_.ports[port];
    // A log's rows carry their own times; on a real line the bytes that followed in the same read took time to arrive.
    const double per_byte_s = p.device.empty() ? 0 : p.line.seconds_per_character();
    std::size_t last_after = 0;
    Instant last_time = -1;
    const auto take = [&](const Item& what, std::size_t after) {
        Instant time = at - from_seconds(per_byte_s * static_cast<double>(after));
        if (last_time >= 0 && after == last_after) time = last_time;  // items of one frame share its time
        else if (time <= newest_on_port_[port]) time = newest_on_port_[port] + 1;
        last_after = after;
        last_time = time;
        newest_on_port_[port] = std::max(newest_on_port_[port], time);
        Heard& heard = heard_now_.emplace_back();
        heard.port = port;
        heard.item = what;
        heard.at = time;
        item(port, what, time);
    };
    framers_[port].feed(bytes, std::ref(take));  // a std::function that needs no memory of its own
    flush_sample();
}

void Judge::item(std::uint16_t port, const Item& what, Instant at) {
    if (const auto* read = std::get_if<Reading>(&what)) {
        reading(port, *read, at);
        return;
    }
    const auto* fault = std::get_if<Fault>(&what);
    if (!fault) return;
    flush_sample();
    for (std::size_t i = 0; i < gates_.size(); ++i) {
        if (gates_[i].port() != port) continue;
        if (!fault->channel.view().empty() && !gates_[i].channel().index.empty() && fault->channel.view() != gates_[i].channel().index) continue;
        if (!is_advisory(fault->code)) gates_[i].fault(at);
        if (!passes_by_itself(fault->code)) last_heard_[i] = at;  // it speaks, and says why it has no number: not silent
        const std::string detail = std::string(fault_name(fault->code)) + (fault->detail.empty() ? "" : " (" + fault->detail + ")");
        trouble({Trouble::What::fault, i, detail, fault->code});
    }
}

void Judge::gather(Instant at) {
    if (gathering_ && at != now_.at) flush_sample();
    gathering_ = true;
    now_.at = std::max(at, now_.at);
}

void Judge::reading(std::uint16_t port, const Reading& read, Instant at) {
    for (std::size_t i = 0; i < gates_.size(); ++i) {
        Gate& gate = gates_[i];
        if (gate.port() != port || !gate.is_for(read)) continue;
        const Gate::Outcome outcome = gate.take(read, at);
        if (reading_sink_) reading_sink_(decoded_reading(static_cast<std::uint16_t>(i), read, at, outcome, gate));
        last_heard_[i] = at;  // whatever it says, it is not silent
        switch (outcome) {
            case Gate::Outcome::wrong_unit: trouble({Trouble::What::wrong_unit, i, std::string(unit_name(read.unit)), {}}); continue;
            case Gate::Outcome::not_live: trouble({Trouble::What::not_live, i, std::string(kind_name(read.kind)), {}}); continue;
            case Gate::Outcome::no_number: trouble({Trouble::What::no_number, i, std::string(unit_name(read.unit)), {}}); continue;
            case Gate::Outcome::held: continue;
            case Gate::Outcome::spike: trouble({Trouble::What::spike, i, "", {}}); break;
            case Gate::Outcome::jumped: trouble({Trouble::What::jumped, i, "", {}}); break;
            case Gate::Outcome::accepted: break;
        }
        if (gate.measures() == Measure::force && !now_.force_known && began_ && !ended_) progress_.lost_sight();
        gather(at);
        switch (gate.measures()) {
            case Measure::force: now_.force_fresh = true; break;
            case Measure::turns: now_.screw_fresh = true; break;
            case Measure::screw_travel: now_.screw_mm_fresh = true; break;
            case Measure::ring_travel: now_.ring_fresh = true; break;
        }
    }
}

void Judge::flush_sample() {
    const Gate* counter = nullptr;
    const Gate* caliper = nullptr;
    for (const Gate& gate : gates_) {
        switch (gate.measures()) {
            case Measure::force:
                now_.force_known = gate.known();
                if (gate.known()) {
                    now_.force_N = gate.value();
                    now_.gross_N = gate.above_certificate_zero();
                }
                break;
            case Measure::turns: counter = &gate; break;
            case Measure::screw_travel: caliper = &gate; break;
            case Measure::ring_travel:
                now_.ring_known = gate.known();
                if (gate.known()) now_.ring_mm = gate.value();
                break;
        }
    }
    now_.screw_mm_known = caliper && caliper->known();
    if (now_.screw_mm_known) now_.screw_mm = caliper->value();
    // Turns come from the counter, or from screw travel over the pitch; never from the ring, which stays still when stuck.
    if (counter) {
        now_.screw_known = counter->known();
        if (now_.screw_known) now_.turns = counter->value();
        now_.screw_late_s = seconds(counter->usual_gap()) + set_up_.ports[counter->port()].lag_s;
        now_.screw_step_turns = counter->channel().counts_per_turn > 1 ? 1 / counter->channel().counts_per_turn : 0;
    } else if (caliper && set_up_.pitch_mm > 0) {
        now_.screw_known = caliper->known();
        now_.screw_fresh = now_.screw_mm_fresh;
        if (now_.screw_known) now_.turns = caliper->value() / set_up_.pitch_mm;
        now_.screw_late_s = seconds(caliper->usual_gap()) + set_up_.ports[caliper->port()].lag_s;
        now_.screw_step_turns = caliper->channel().least_count / set_up_.pitch_mm;
    }
    if (!gathering_) return;
    gathering_ = false;
    progress_.take(now_);
    if (began_ && !ended_) {
        ++sample_count_;
        for (const double value : {static_cast<double>(now_.at), now_.force_N, now_.gross_N, now_.turns, now_.screw_mm, now_.ring_mm})
            sample_mix_ = mix(sample_mix_, value);
        ask_rules(now_.at, [](Rule& rule, const View& seen) { return rule.on_sample(seen); });
    }
    now_.began = began_ && !ended_;
    if (sample_sink_) sample_sink_(now_);
    now_.force_fresh = now_.screw_fresh = now_.screw_mm_fresh = now_.ring_fresh = false;
}

void Judge::trouble(Trouble trouble) {
    flush_sample();
    ask_rules(now_at_, [&](Rule& rule, const View& seen) { return rule.on_trouble(seen, trouble); });
}

void Judge::tick(Instant at) {
    for (std::size_t i = 0; i < gates_.size(); ++i) {
        const double silence_s = set_up_.ports[gates_[i].port()].silence_s;
        // A number that is too old may not be used for anything, whether or not the rule has fired before.
        if (silence_s > 0 && last_heard_[i] >= 0 && seconds(at - last_heard_[i]) > silence_s && gates_[i].known()) {
            gates_[i].fault(at);
            flush_sample();
        }
    }
    ask_rules(at, [&](Rule& rule, const View& seen) { return rule.on_tick(seen, at); });
}

void Judge::operator_did(const OperatorDid& did, Instant at) {
    flush_sample();
    switch (did.act) {
        case Act::begin:
            if (began_) break;
            began_ = true;
            for (Gate& gate : gates_) gate.begin();
            for (Instant& heard : last_heard_)
                if (heard < 0) heard = at;  // an instrument that never spoke is silent from here on
            now_.at = std::max(now_.at, at);
            progress_.begin(now_);
            break;
        case Act::zero: {
            zero_refused_ = false;
            for (Gate& gate : gates_)
                if (!gate.set_zero(at)) zero_refused_ = true;
            for (const Gate& gate : gates_)
                if (gate.measures() == Measure::force) progress_.set_noise(gate.noise());
            zeroed_ = !zero_refused_;
            flush_sample();
            break;
        }
        case Act::acknowledge:
            if (progress_.unloaded() || !find_channel(set_up_, Measure::force)) stop_cleared_ = true;
            break;
        case Act::flat:
            flats_by_hand_ = true;
            progress_.flat_made();
            now_.at = std::max(now_.at, at);
            now_.screw_fresh = true;
            if (began_ && !ended_) ask_rules(at, [](Rule& rule, const View& seen) { return rule.on_sample(seen); });
            now_.screw_fresh = false;
            break;
        case Act::end:
            if (ended_ || !began_) break;
            ask_rules(at, [](Rule& rule, const View& seen) { return rule.on_end(seen); });
            ended_ = true;
            break;
        case Act::silence:
        case Act::note:
        case Act::skipped: break;
    }
}

void Judge::port_changed(const PortChanged& change, Instant at) {
    if (change.port >= framers_.size()) return;
    if (change.state == PortState::opened) {
        restart_framer(change.port);
        return;
    }
    flush_sample();
    for (std::size_t i = 0; i < gates_.size(); ++i) {
        if (gates_[i].port() != change.port) continue;
        gates_[i].fault(at);
        if (change.state == PortState::lost) trouble({Trouble::What::port_lost, i, change.detail, {}});
    }
    flush_sample();
}

template <class Ask>
void Judge::ask_rules(Instant at, Ask ask) {
    if (!began_ || ended_) return;
    View seen = view();
    for (Held& held : rules_) {
        if (held.fired) continue;
        if (auto says = ask(*held.rule, seen)) {
            held.fired = true;
            if (held.rule->info().call == Call::stop_and_inspect) stop_cleared_ = false;
            warnings_.push_back(make_warning(*held.rule, at, *std::move(says)));
            seen.warned = true;
        }
    }
}

Warning Judge::make_warning(const Rule& rule, Instant at, std::string says) const {
    const RuleInfo& info = rule.info();
    Warning warning;
    warning.rule = info.id;
    warning.call = info.call;
    warning.at = at;
    warning.turns = progress_.turns_from_contact();
    warning.force_N = now_.force_N;
    warning.says = std::move(says);
    warning.hands = info.hands;
    warning.inspect = info.inspect;
    return warning;
}

}  // namespace halfturn
