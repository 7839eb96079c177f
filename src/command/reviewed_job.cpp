#include "command/reviewed_job.hpp"

#include "command/job_text.hpp"
#include "command/review_text.hpp"
#include "command/seat_of_job.hpp"
#include "core/json_writer.hpp"
#include "core/number_text.hpp"
#include "record/wall_clock.hpp"
#include "review/thinned_samples.hpp"
#include "screen/curve_points.hpp"
#include "watch/judgement_json.hpp"

namespace halfturn::command {
namespace {

std::string act_text(const OperatorDid& did) {
    static constexpr std::string_view words[] = {"begins",     "zero, stack loose", "acknowledges the stop", "silences the sound",
                                                 "one flat made", "ends the job",   "note",                  "step skipped"};
    return std::string(words[static_cast<std::size_t>(did.act)]) + (did.text.empty() ? "" : ": " + did.text);
}

void put_texts(JsonWriter& json, const char* key, const std::vector<std::string>& texts) {
    json.key(key).array();
    for (const std::string& text : texts) json.text(text);
    json.end();
}

void put_set_up(JsonWriter& json, const SetUp& s) {
    const auto known = [&](const char* key, double value) {
        json.key(key);
        if (value > 0) json.number(value);
        else json.null();
    };
    json.key("set_up").object().put("access", access_name(s.access)).put("pitch_mm", s.pitch_mm);
    known("stiffness_N_per_mm", s.stiffness_N_per_mm.mid);
    json.put("stiffness_measured", s.stiffness_measured);
    known("force_limit_N", s.force_limit_N);
    known("fastest_turns_per_s", s.fastest_turns_per_s);
    known("seat_length_mm", s.seat_length_mm);
    json.put("half_turn", s.half_turn);
    put_texts(json, "marks", s.marks);
    json.key("instruments").array();
    for (const ChannelSetUp& channel : s.channels) {
        const PortSetUp* port = channel.port < s.ports.size() ? &s.ports[channel.port] : nullptr;
        json.object().put("measures", measure_name(channel.measures)).put("port", port ? std::string_view(port->name) : "");
        json.put("device", port ? std::string_view(port->device) : "").put("format", port ? std::string_view(port->format) : "");
        json.put("certificate", std::string_view(channel.calibration));
        known("capacity", channel.capacity);
        known("least_count", channel.least_count);
        known("readings_per_s", channel.readings_per_s);
        json.end();
    }
    json.end().put("job_text", std::string_view(s.job_text)).put("rig_text", std::string_view(s.rig_text)).end();
}

void put_happened(JsonWriter& json, record::Store& store, const ReviewedJob& reviewed) {
    json.key("happened").array();
    record::for_each_event(store, reviewed.job.number, [&](const Event& event) {
        const std::string says = happened(event, reviewed.judged.set_up);
        if (!says.empty()) json.object().put("t_s", seconds(event.at)).put("says", std::string_view(says)).end();
        return true;
    });
    json.end();
}

// What the kernel counted on each line in the whole job; lines without errors, and those that are not counted, are left out.
void put_line_errors(JsonWriter& json, record::Store& store, const ReviewedJob& reviewed) {
    const std::vector<PortSetUp>& ports = reviewed.judged.set_up.ports;
    std::vector<LineErrors> sums(ports.size());
    record::for_each_event(store, reviewed.job.number, [&](const Event& event) {
        if (const auto* counted = std::get_if<LineErrorsCounted>(&event.what); counted && counted->port < sums.size())
            sums[counted->port] += counted->more;
        return true;
    });
    json.key("line_errors").array();
    for (std::size_t i = 0; i < sums.size(); ++i) {
        if (sums[i] == LineErrors{}) continue;
        json.object().put("port", std::string_view(ports[i].name));
        for (const auto& [name, count] : line_error_counts(sums[i])) json.put(name, static_cast<std::int64_t>(count));
        json.end();
    }
    json.end();
}

void put_judgements(JsonWriter& json, const std::vector<record::JudgedRow>& rows) {
    json.key("judgements").array();
    for (const record::JudgedRow& row : rows)
        json.object().put("made", record::utc_text(row.made_utc_ms)).put("judge", std::string_view(row.judged.judge))
            .put("call", std::string_view(row.judged.call)).put("fingerprint", std::string_view(row.judged.fingerprint)).end();
    json.end();
}

void put_drawn(JsonWriter& json, const ReviewedJob& reviewed) {
    screen::CurvePoints points;
    for (const Sample& sample : reviewed.samples) {
        if (!sample.began || !sample.force_known || !sample.force_fresh) continue;
        std::optional<double> turns;
        if (sample.screw_known && reviewed.judged.now.contact_turns) turns = sample.turns - *reviewed.judged.now.contact_turns;
        points.add(seconds(sample.at), turns, sample.force_N);
    }
    json.key("drawn").raw(points.json(reviewed.judged.set_up));
}

// The turn at which the ring had first come so far.
std::optional<double> turns_at(const std::vector<review::Onwards>& way, double slid_mm) {
    for (const review::Onwards& one : way)
        if (one.slid_mm >= slid_mm) return one.turns;
    return way.empty() ? std::nullopt : std::optional(way.back().turns);
}

void put_places(JsonWriter& json, const ReviewedJob& reviewed) {
    const review::Evidence evidence = review::evidence_of(reviewed.samples, reviewed.judged.set_up, reviewed.judged.now);
    json.key("finding_places").array();
    for (const review::Found& found : reviewed.seat.findings.found) {
        if (!found.answer.place) continue;
        const auto from = turns_at(evidence.slide.onwards, found.answer.place->from_mm),
                   to = turns_at(evidence.slide.onwards, found.answer.place->to_mm);
        if (!from || !to) continue;
        json.object()
            .put("id", found.info.id)
            .put("title", found.info.title)
            .put("from_turns", *from)
            .put("to_turns", *to)
            .put("force_N", found.answer.place->force_N)
            .end();
    }
    json.end();
}

}  // namespace

ReviewedJob review_job(record::Store& store, const std::string& id) {
    ReviewedJob reviewed;
    reviewed.job = record::find_job(store, id);
    review::ThinnedSamples kept;
    reviewed.judged = record::judge_again(store, reviewed.job, [&](const Sample& sample) { kept.add(sample); });
    reviewed.samples = kept.take();
    reviewed.seat = seat_of_job(store, reviewed.job, reviewed.judged, reviewed.samples);
    return reviewed;
}

std::string reviewed_json(record::Store& store, const ReviewedJob& reviewed, bool for_page) {
    const record::Rejudged& again = reviewed.judged;
    // The judgement of this version that is on record; of these bytes now, where there is none.
    std::string judged = judgement_json(again.now, again.set_up, reviewed.job.job_id);
    for (const record::JudgedRow& row : again.before)
        if (row.judged.judge == again.now.judge && !row.judged.json.empty()) judged = row.judged.json;
    JsonWriter more;
    more.object().key("record");
    write_job_row(more, reviewed.job);
    more.put("agreement", record::agreement_name(again.agreement)).put("head", "sha256:" + store.head());
    put_entries(more, store, reviewed.job);
    put_line_errors(more, store, reviewed);
    review::write_seat_review(more, reviewed.seat);
    put_set_up(more, again.set_up);
    put_happened(more, store, reviewed);
    put_judgements(more, again.before);
    if (for_page) {
        put_drawn(more, reviewed);
        put_places(more, reviewed);
    }
    return joined_objects(judged, more.end().take());
}

std::string happened(const Event& event, const SetUp& set_up) {
    const auto port_name = [&](std::uint16_t port) { return port < set_up.ports.size() ? set_up.ports[port].name : "?"; };
    if (const auto* change = std::get_if<PortChanged>(&event.what)) {
        static constexpr std::string_view words[] = {"opened", "lost", "closed"};
        return "port " + port_name(change->port) + " " + std::string(words[static_cast<std::size_t>(change->state)]) +
               (change->detail.empty() ? "" : ": " + change->detail);
    }
    if (const auto* did = std::get_if<OperatorDid>(&event.what)) return "operator: " + act_text(*did);
    if (const auto* state = std::get_if<RecorderState>(&event.what)) {
        static constexpr std::string_view words[] = {"on", "late", "stopped"};
        return "recording " + std::string(words[static_cast<std::size_t>(state->state)]) +
               (state->detail.empty() ? "" : ": " + state->detail);
    }
    if (const auto* slept = std::get_if<Suspended>(&event.what))
        return "the computer slept for " + fixed_text(seconds(slept->asleep), 1) + " s";
    if (const auto* counted = std::get_if<LineErrorsCounted>(&event.what))
        return "port " + port_name(counted->port) + ": " + line_errors_text(counted->more);
    return {};
}

}  // namespace halfturn::command
