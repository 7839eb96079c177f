#include "screen/state_json.hpp"

#include "core/json_writer.hpp"
#include "watch/judgement_json.hpp"

namespace halfturn::screen {
namespace {

void put_band(JsonWriter& json, std::string_view key, const Band& band) {
    json.key(key);
    if (band.high > 0) json.object().put("low", band.low).put("mid", band.mid).put("high", band.high).end();
    else json.null();
}

void put_texts(JsonWriter& json, std::string_view key, const std::vector<std::string>& texts) {
    json.key(key).array();
    for (const auto& text : texts) json.text(text);
    json.end();
}

void put_if(JsonWriter& json, std::string_view key, const std::optional<double>& value) {
    json.key(key);
    if (value) json.number(*value);
    else json.null();
}

std::string_view recording_name(Recording recording) {
    switch (recording) {
        case Recording::on: return "on";
        case Recording::late: return "late";
        case Recording::stopped: return "stopped";
    }
    return "stopped";
}

std::string_view unit_of(Measure measure) {
    switch (measure) {
        case Measure::force: return "N";
        case Measure::turns: return "turn";
        default: return "mm";
    }
}

void put_channels(JsonWriter& json, const Snapshot& now, const SetUp& set_up) {
    json.key("channels").array();
    for (std::size_t i = 0; i < now.channels.size(); ++i) {
        const Snapshot::Channel& c = now.channels[i];
        const PortSetUp& port = set_up.ports[set_up.channels[i].port];
        // As the instrument shows it, so that a hand on it can be compared: travel in mm, also where it counts turns.
        json.object().put("name", port.name).put("measures", measure_name(c.measures)).put("unit", unit_of(c.measures));
        put_if(json, "value", c.value);
        json.put("heard", c.heard).put("age_s", c.age_s).put("silence_s", port.silence_s).put("readings_per_s", c.readings_per_s).end();
    }
    json.end();
}

void put_warnings(JsonWriter& json, const std::vector<Warning>& warnings) {
    json.key("warnings").array();
    for (const Warning& w : warnings) {
        json.object()
            .put("id", w.rule)
            .put("call", call_id(w.call))
            .put("t_s", seconds(w.at))
            .put("turns", w.turns)
            .put("force_N", w.force_N);
        json.put("says", w.says).put("hands", w.hands).key("inspect").array();
        for (const auto what : w.inspect) json.text(what);
        json.end().end();
    }
    json.end();
}

}  // namespace

std::string_view stage_name(live::Stage stage) {
    switch (stage) {
        case live::Stage::opening: return "opening";
        case live::Stage::ready: return "ready";
        case live::Stage::running: return "running";
        case live::Stage::ended: return "ended";
        case live::Stage::refused: return "refused";
    }
    return "refused";
}

std::string job_json(const SetUp& s, const std::string& job_id) {
    JsonWriter json;
    json.object()
        .put("id", job_id)
        .put("work", work_name(s.work))
        .put("access", access_name(s.access))
        .put("item", s.item)
        .put("seat", s.seat);
    json.put("set", s.set).put("who", s.who).put("designation", s.designation).put("rig", s.rig).put("practice", s.practice);
    json.put("half_turn", s.half_turn).put("fastest_turns_per_s", s.fastest_turns_per_s).put("force_limit_N", s.force_limit_N);
    json.put("stiffness_measured", s.stiffness_measured);
    put_band(json, "break_loose_N", s.break_loose_N);
    put_texts(json, "marks", s.marks);
    const Reach reach = what_can_be_judged(s);
    put_texts(json, "can", reach.can);
    put_texts(json, "cannot", reach.cannot);
    json.put("flats_by_hand", flats_by_hand(s));
    return json.end().take();
}

std::string job_state_json(live::LiveJob& job, const std::string& job_part, const std::string& message) {
    const Snapshot now = job.judge().snapshot();
    JsonWriter json;
    json.object().put("t", "state").put("stage", stage_name(job.stage())).put("at_s", seconds(now.at));
    json.put("word", hand_word(now.word)).put("next", now.next).put("phase", phase_name(now.phase)).put("call", call_id(now.call));
    json.put("began", now.began).put("zeroed", job.zeroed()).put("unloaded", now.unloaded).put("loaded_at_start", now.loaded_at_start);
    json.put("stop_latched", now.stop_latched).put("silenced", job.sound_silenced());
    put_if(json, "force_N", now.force_N);
    put_if(json, "heading_N", now.heading_N);
    put_if(json, "turns", now.turns_from_contact);
    put_if(json, "turns_per_s", now.turns_per_s);
    put_if(json, "slid_mm", now.slid_mm);
    json.put("peak_N", now.peak_N).key("break_loose_N");
    if (now.break_loose) json.number(now.break_loose->force_N);
    else json.null();
    json.put("recording", recording_name(now.recording));
    put_channels(json, now, job.set_up());
    put_warnings(json, job.judge().warnings());
    json.put("message", message);
    if (job.stage() == live::Stage::opening || job.stage() == live::Stage::refused) put_texts(json, "not_ready", job.not_ready());
    if (job.stage() == live::Stage::ended || job.stage() == live::Stage::refused) {
        json.put("ending", job.ending()).put("recorded", job.recorded()).put("record_problem", job.record_problem());
        json.key("judgement");
        write_judgement(json, job.judge().judgement(), job.set_up(), job.job_id());
    }
    return json.key("job").raw(job_part).end().take();
}

std::string idle_state_json(const std::string& problem) {
    return JsonWriter().object().put("t", "state").put("stage", "idle").put("problem", problem).end().take();
}

}  // namespace halfturn::screen
