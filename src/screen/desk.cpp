#include "screen/desk.hpp"

#include "screen/state_json.hpp"

namespace halfturn::screen {
namespace {

constexpr Instant publish_every = 50'000'000;    // a word, a warning or a stage is shown at once
constexpr Instant curve_every = 500'000'000;

}  // namespace

std::unique_ptr<Desk::Shown> Desk::show(live::LiveJob& job) {
    job_part_ = job_json(job.set_up(), job.job_id());
    message_.clear();
    curve_ = {};
    published_at_ = curve_at_ = -1;
    warnings_ = 0;
    {
        const std::lock_guard lock(mutex_);
        job_ = &job;
    }
    stage_ = job.stage();
    publish();
    return std::make_unique<Shown>(*this);
}

void Desk::take_away() {
    const std::lock_guard lock(mutex_);
    job_ = nullptr;
}

bool Desk::act(const PageAct& act) {
    const std::lock_guard lock(mutex_);
    if (!job_) return false;
    job_->loop().post([this, act] { perform(act); });
    return true;
}

void Desk::perform(const PageAct& act) {
    live::LiveJob& job = *job_;
    const live::Stage stage = job.stage();
    const bool at_work = stage == live::Stage::ready || stage == live::Stage::running;
    message_.clear();
    if (act.act == "zero" && stage == live::Stage::ready) {
        job.zero();
        message_ =
            job.judge().zero_refused()
                ? "The zero was refused: the stack still carries load, or there are too few readings. Loosen it and try again."
                : "";
    } else if (act.act == "begin" && stage == live::Stage::ready) {
        if (!job.zeroed()) job.skipped("zero with the stack loose");
        job.begin();
    } else if (act.act == "acknowledge" && stage == live::Stage::running) {
        job.acknowledge();
        if (job.judge().snapshot().stop_latched) message_ = "Not yet unloaded: back the screw off first.";
    } else if (act.act == "silence" && at_work) {
        job.silence();
    } else if (act.act == "flat" && stage == live::Stage::running) {
        job.flat();
    } else if (act.act == "note" && at_work && !act.text.empty()) {
        job.note(act.text);
    } else if (act.act == "skipped" && at_work && !act.text.empty()) {
        job.skipped(act.text);
    } else if (act.act == "end") {
        job.end("ended on the page");
    }
    published_at_ = -1;
    changed();
}

void Desk::changed() {
    live::LiveJob& job = *job_;
    const Snapshot now = job.judge().snapshot();
    const bool done = job.stage() == live::Stage::ended || job.stage() == live::Stage::refused;
    if (now.began && now.force_N) curve_.add(seconds(now.at), now.turns_from_contact, *now.force_N);
    const bool turned = now.word != word_ || now.warnings != warnings_ || job.stage() != stage_;
    word_ = now.word;
    warnings_ = now.warnings;
    stage_ = job.stage();
    if (turned || done || published_at_ < 0 || now.at - published_at_ >= publish_every) {
        published_at_ = now.at;
        publish();
    }
    if (done || curve_at_ < 0 || now.at - curve_at_ >= curve_every) {
        curve_at_ = now.at;
        server_->publish_data("curve", curve_.json(job.set_up()));
    }
}

void Desk::publish() { server_->publish(job_state_json(*job_, job_part_, message_)); }

}  // namespace halfturn::screen
