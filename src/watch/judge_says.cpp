// What the judge makes of what it has seen so far: the word for the hand, the snapshot for screens, the judgement.
#include <algorithm>

#include "core/little_endian.hpp"
#include "core/sha256.hpp"
#include "watch/judge.hpp"

namespace halfturn {
namespace {

constexpr double gain_on_slower = 1.0;  // times the fastest speed: the word "slower" comes before the warning does

}  // namespace

bool Judge::stop_stands() const {
    return !stop_cleared_ &&
           std::any_of(warnings_.begin(), warnings_.end(), [](const Warning& w) { return w.call == Call::stop_and_inspect; });
}

bool Judge::stop_is_over() const {
    if (!stop_cleared_ || ended_ || progress_.phase() == Phase::clear || progress_.phase() == Phase::home) return false;
    const auto& release = progress_.break_loose();  // a ring that has let go since is on its way out
    return std::any_of(warnings_.begin(), warnings_.end(), [&](const Warning& w) {
        return w.call == Call::stop_and_inspect && !(release && release->at >= w.at);
    });
}

HandWord Judge::word() const {
    if (!began_) return HandWord::wait;
    if (stop_stands()) return HandWord::stop;
    if (ended_ || progress_.phase() == Phase::clear || stop_is_over()) return HandWord::wait;
    if (progress_.phase() == Phase::home) return HandWord::stop;
    for (const Gate& gate : gates_) {
        const double silence_s = set_up_.ports[gate.port()].silence_s;
        if (!gate.known() && silence_s > 0) return HandWord::wait;
    }
    const double most = set_up_.fastest_turns_per_s;
    if (most > 0 && progress_.phase() == Phase::loading && progress_.turns_per_s() > gain_on_slower * most) return HandWord::slower;
    return HandWord::turn;
}

std::string Judge::next_thing() const {
    if (!began_) return "Zero with the stack loose, then begin.";
    if (stop_stands()) {
        if (!find_channel(set_up_, Measure::force)) return "Hold, back the screw off until it is loose, then take apart and look.";
        return progress_.unloaded() ? "Unloaded. Take apart and look; then confirm." : "Hold, back the screw off, wait for unloaded.";
    }
    if (stop_is_over()) return "The stop is cleared. End this job; begin anew once its cause is mended.";
    switch (progress_.phase()) {
        case Phase::clear: return "The ring has left the seat. Look at the seat, then end the job.";
        case Phase::home: return "The ring is home. Back the screw off and end the job.";
        case Phase::sliding: return "Broken loose. Turn on evenly until the ring is clear.";
        case Phase::slack: return "Take up the slack gently.";
        case Phase::loading: return "One flat, pause, read.";
        case Phase::entering: return "Keep the ring square while it enters.";
        case Phase::driving: return "Turn evenly; stop at the sharp rise.";
    }
    return "";
}

Snapshot Judge::snapshot() const {
    Snapshot s;
    s.at = now_at_;
    s.word = word();
    s.next = next_thing();
    s.phase = progress_.phase();
    for (const Warning& w : warnings_) s.call = std::max(s.call, w.call);
    s.began = began_;
    s.zeroed = zeroed_;
    s.unloaded = progress_.unloaded();
    s.loaded_at_start = progress_.loaded_at_start();
    s.stop_latched = stop_stands();
    if (now_.force_known) {
        s.force_N = now_.force_N;
        s.heading_N = now_.gross_N + std::max(progress_.force_per_s(), 0.0) * set_up_.lead_s;
    }
    if ((now_.screw_known || flats_by_hand_) && progress_.in_contact()) s.turns_from_contact = progress_.turns_from_contact();
    if (now_.screw_known) s.turns_per_s = progress_.turns_per_s();
    if (now_.ring_known) s.ring_mm = now_.ring_mm;
    if (progress_.slid_known()) s.slid_mm = progress_.slid_mm();
    s.break_loose = progress_.break_loose();
    s.peak_N = progress_.peak_N();
    s.recording = recording_;
    for (std::size_t i = 0; i < gates_.size(); ++i) {
        Snapshot::Channel c;
        c.measures = gates_[i].measures();
        if (gates_[i].known()) c.value = gates_[i].value();
        c.heard = last_heard_[i] >= 0;
        c.age_s = c.heard ? seconds(now_at_ - last_heard_[i]) : 0;
        c.readings_per_s = gates_[i].usual_gap() > 0 ? 1 / seconds(gates_[i].usual_gap()) : 0;
        s.channels.push_back(c);
    }
    s.warnings = warnings_.size();
    return s;
}

Judgement Judge::judgement() const {
    Judgement j;
    for (const Warning& w : warnings_) {
        j.call = std::max(j.call, w.call);
        j.reasons.emplace_back(w.rule);
    }
    j.phase = progress_.phase();
    if (progress_.first_contact_turns() && (now_.screw_known || find_channel(set_up_, Measure::turns) ||
                                            find_channel(set_up_, Measure::screw_travel) || flats_by_hand_))
        j.contact_turns = progress_.first_contact_turns();
    j.break_loose = progress_.break_loose();
    j.peak_N = progress_.peak_N();
    j.warnings = warnings_;
    const Reach reach = what_can_be_judged(set_up_);
    j.can_judge = reach.can;
    j.cannot_judge = reach.cannot;
    j.ended_by_hand = j.phase != Phase::clear && j.phase != Phase::home;
    j.judge = judge_version;
    j.fingerprint = fingerprint(j);
    return j;
}

std::string Judge::fingerprint(const Judgement& j) const {
    std::string layout = "halfturn judgement\n";
    layout += j.judge;
    layout += '\n';
    append_little_endian(layout, static_cast<std::uint8_t>(j.call));
    append_little_endian(layout, static_cast<std::uint8_t>(j.phase));
    append_little_endian(layout, static_cast<std::uint8_t>(j.contact_turns.has_value()));
    append_double(layout, j.contact_turns.value_or(0));
    append_little_endian(layout, static_cast<std::uint8_t>(j.break_loose.has_value()));
    const BreakLoose b = j.break_loose.value_or(BreakLoose{});
    append_little_endian(layout, static_cast<std::uint64_t>(b.at));
    for (const double value : {b.turns, b.turns_from_contact, b.force_N, b.force_bound_N, j.peak_N}) append_double(layout, value);
    append_little_endian(layout, static_cast<std::uint32_t>(j.warnings.size()));
    for (const Warning& w : j.warnings) {
        layout += w.rule;
        layout += '\0';
        append_little_endian(layout, static_cast<std::uint8_t>(w.call));
        append_little_endian(layout, static_cast<std::uint64_t>(w.at));
        append_double(layout, w.turns);
        append_double(layout, w.force_N);
    }
    append_little_endian(layout, sample_count_);
    append_little_endian(layout, sample_mix_);
    return "sha256:" + hex(sha256(layout));
}

}  // namespace halfturn
