#include "watch/judgement_json.hpp"

namespace halfturn {

void write_expected(JsonWriter& json, const SetUp& set_up) {
    json.object();
    if (set_up.break_loose_N.high > 0) {
        json.key("break_loose_N").object();
        json.put("low", set_up.break_loose_N.low).put("mid", set_up.break_loose_N.mid).put("high", set_up.break_loose_N.high).end();
    } else {
        json.key("break_loose_N").null();
    }
    json.key("curve").array();
    for (const CurvePoint& p : set_up.curve)
        json.object().put("turns", p.turns).put("low_N", p.low_N).put("mid_N", p.mid_N).put("high_N", p.high_N).end();
    json.end().end();
}

void write_judgement(JsonWriter& json, const Judgement& j, const SetUp& set_up, const std::string& job) {
    const auto texts = [&](std::string_view key, const std::vector<std::string>& list) {
        json.key(key).array();
        for (const auto& text : list) json.text(text);
        json.end();
    };
    json.object();
    json.key("job");
    if (job.empty()) json.null();
    else json.text(job);
    json.put("call", call_id(j.call));
    texts("reasons", j.reasons);
    json.put("phase", phase_name(j.phase));
    json.key("contact_turns");
    if (j.contact_turns) json.number(*j.contact_turns);
    else json.null();
    json.key("break_loose");
    if (j.break_loose) {
        const BreakLoose& b = *j.break_loose;
        json.object().put("turns", b.turns).put("turns_from_contact", b.turns_from_contact).put("force_N", b.force_N);
        json.put("force_bound_N", b.force_bound_N).put("t_s", seconds(b.at)).end();
    } else {
        json.null();
    }
    json.put("peak_N", j.peak_N);
    json.key("expected");
    write_expected(json, set_up);
    json.key("warnings").array();
    for (const Warning& w : j.warnings) {
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
    texts("can_judge", j.can_judge);
    texts("cannot_judge", j.cannot_judge);
    json.put("ended_by_hand", j.ended_by_hand);
    json.put("fingerprint", j.fingerprint);
    json.put("judge", j.judge);
    json.end();
}

std::string judgement_json(const Judgement& judgement, const SetUp& set_up, const std::string& job, int indent) {
    JsonWriter json(indent);
    write_judgement(json, judgement, set_up, job);
    return json.take();
}

}  // namespace halfturn
