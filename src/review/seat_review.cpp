#include "review/seat_review.hpp"

namespace halfturn::review {
namespace {

void put_band(JsonWriter& json, const char* key, const Band& band) {
    json.key(key).object().put("low", band.low).put("mid", band.mid).put("high", band.high).end();
}

void write_profile(JsonWriter& json, const SeatReview& review) {
    const SeatProfile& p = review.profile;
    json.key("profile").object().put("known", p.known);
    if (!p.known) {
        json.put("why_not", std::string_view(p.why_not)).end();
        return;
    }
    json.put("shape", seat_shape_id(p.shape)).put("says", std::string_view(p.says));
    json.key("or_shapes").array();
    for (const SeatShape shape : p.or_shapes) json.text(seat_shape_id(shape));
    json.end();
    json.put("hidden", std::string_view(p.hidden));
    json.put("size", p.size).put("size_u", p.u_size).put("from_mm", p.from_mm).put("to_mm", p.to_mm);
    json.put("mean_N_per_mm", p.mean_N_per_mm)
        .put("seen_from_mm", p.seen_from_mm)
        .put("seen_to_mm", p.seen_to_mm);
    json.put("unseen_at_release_mm", review.unseen_mm).put("instruments_resolve_mm", p.instruments_mm);
    json.put("instruments_because", std::string_view(p.instruments_because))
        .put("resolved_mm", p.resolved_mm)
        .put("misfit", p.misfit);
    json.key("ripple");
    if (p.ripple.known)
        json.object()
            .put("share", p.ripple.share)
            .put("share_u", p.ripple.u_share)
            .put("beside", p.ripple.beside)
            .put("most_at_turn", p.ripple.most_at_turn)
            .put("turns", p.ripple.turns)
            .end();
    else
        json.null();
    json.key("grip").array();
    for (const ProfilePoint& point : p.drawable() ? p.points : std::vector<ProfilePoint>())
        json.object()
            .put("depth_mm", point.depth_mm)
            .put("relative", point.relative)
            .put("low", point.low)
            .put("high", point.high)
            .end();
    json.end();
    if (!review.compared_with.empty() && review.difference.known)
        json.key("compared")
            .object()
            .put("with", std::string_view(review.compared_with))
            .put("share_apart", review.difference.share)
            .put("largest", review.difference.largest)
            .put("at_mm", review.difference.at_mm)
            .put("says", std::string_view(review.difference.says))
            .end();
    json.end();
}

void write_fit(JsonWriter& json, const FitBackwards& fit) {
    json.key("fit_read_backwards").object().put("known", fit.known);
    if (fit.known) {
        json.put("says", std::string_view(fit.says))
            .put("force_N", fit.force_N)
            .put("force_relative_u", fit.force_rel_u);
        put_band(json, "interference_um", fit.interference_um);
        put_band(json, "friction", fit.friction);
        put_band(json, "interference_before_um", fit.interference_before_um);
        put_band(json, "friction_before", fit.friction_before);
        json.put("loose_probability", fit.loose_probability).put("place_in_band", fit.place_in_band);
    } else
        json.put("why_not", std::string_view(fit.why_not));
    if (fit.over_sliding)
        json.put("break_loose_over_sliding", *fit.over_sliding)
            .put("break_loose_over_sliding_u", *fit.over_sliding_u);
    json.end();
}

void write_rates(JsonWriter& json, const std::optional<Rates>& rates) {
    json.key("rates");
    if (!rates) {
        json.null();
        return;
    }
    const auto share = [](int of, int all) { return all > 0 ? static_cast<double>(of) / all : 0; };
    json.object()
        .put("on", "simulated jobs")
        .put("without", rates->without)
        .put("false_alarm_rate", share(rates->false_alarms, rates->without));
    json.put("with", rates->with)
        .put("miss_rate", share(rates->missed, rates->with))
        .put("cannot_tell_rate", share(rates->open_with, rates->with))
        .end();
}

}  // namespace

SeatReview review_seat(const Evidence& evidence) {
    SeatReview review;
    review.work = evidence.set_up.work;
    review.profile = evidence.profile;
    review.unseen_mm = evidence.slide.unseen_mm;
    review.findings = look_for_findings(evidence);
    review.fit = fit_backwards(evidence);
    // What held or hid the ring is not the fit, and must not be read as one.
    if (const std::string hidden = shape_hidden(evidence); review.profile.known && !hidden.empty()) {
        review.profile.shape = SeatShape::cant_tell;
        review.profile.or_shapes.clear();
        review.profile.says = "Can't tell the shape, so none is drawn: " + hidden + ".";
        review.profile.hidden = hidden;
    }
    for (const Found& f : review.findings.found) {
        const bool held = f.info.id == "bonded-or-corroded", tilted = f.info.id == "cocked";
        if (!held && !tilted) continue;
        review.fit.known = false;
        review.fit.why_not = held ? "what held the ring was a bond or rust, not the fit" : "a cocked ring needs more than its fit";
    }
    return review;
}

std::optional<EarlierPull> as_pull(const Evidence& evidence, const SeatReview& review, std::string job, std::string started) {
    if (!review.fit.known || evidence.set_up.break_loose_N.mid <= 0) return {};
    return EarlierPull{std::move(job), std::move(started), evidence.set_up.work, review.fit.force_N, evidence.set_up.break_loose_N.mid,
                       review.fit.interference_um};
}

void write_seat_review(JsonWriter& json, const SeatReview& review) {
    write_profile(json, review);
    write_fit(json, review.fit);
    json.key("findings").array();
    for (const Found& f : review.findings.found) {
        json.object()
            .put("id", f.info.id)
            .put("title", f.info.title)
            .put("strength", strength_name(f.strength));
        json.put("times_threshold", f.answer.times_threshold)
            .put("says", std::string_view(f.answer.says))
            .key("where");
        if (f.answer.place)
            json.object()
                .put("from_mm", f.answer.place->from_mm)
                .put("to_mm", f.answer.place->to_mm)
                .put("force_N", f.answer.place->force_N)
                .end();
        else
            json.null();
        json.key("look_at").array();
        for (const auto what : f.info.look_at) json.text(what);
        json.end();
        write_rates(json, f.rates);
        json.end();
    }
    json.end().key("cannot_find").array();
    for (const Found& f : review.findings.open)
        json.object().put("id", f.info.id).put("because", std::string_view(f.answer.says)).end();
    json.end();
    if (review.history.pulls.size() > 1) {
        json.key("grip_history")
            .object()
            .put("says", std::string_view(review.history.says))
            .put("known", review.history.known);
        json.put("lost_share_per_pull", review.history.lost_share_per_pull)
            .put("lost_share_u", review.history.u_lost)
            .put("lost_um_per_pull", review.history.lost_um_per_pull);
        json.key("jobs").array();
        for (const EarlierPull& p : review.history.pulls)
            json.object()
                .put("job", std::string_view(p.job))
                .put("started", std::string_view(p.started))
                .put("work", work_name(p.work))
                .put("force_N", p.force_N)
                .put("expected_N", p.expected_N)
                .end();
        json.end().end();
    }
}

}  // namespace halfturn::review
