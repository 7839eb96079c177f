#include "practice/truth.hpp"

#include <cmath>

#include "core/json_writer.hpp"

namespace halfturn::practice {
namespace {

constexpr double touches_N = 0.5;
constexpr double has_entered_mm = 0.05;

double micro(double value) { return std::round(value * 1e6) / 1e6; }

void put_moment(JsonWriter& json, std::string_view name, const std::optional<Moment>& moment,
                const std::optional<Moment>& contact) {
    json.key(name);
    if (!moment) {
        json.null();
        return;
    }
    json.object().put("t_s", micro(moment->t_s)).put("turns", micro(moment->turns));
    if (contact) json.put("turns_from_contact", micro(moment->turns - contact->turns));
    json.put("screw_mm", micro(moment->screw_mm)).put("force_N", micro(moment->force_N));
    json.put("slid_mm", micro(moment->slid_mm)).end();
}

}  // namespace

Moment Truth::now(double t_s, const Press& press) {
    return {t_s, press.turns(), press.screw_mm(), press.force_N(), press.ring().slid_mm()};
}

void Truth::watch(double t_s, const Press& press) {
    const Ring& ring = press.ring();
    const Moment at = now(t_s, press);
    if (!contact && at.force_N > touches_N) contact = at;
    if (at.force_N > peak.force_N) peak = at;
    if (!release) {
        if (at.force_N > peak_before_release.force_N) peak_before_release = at;
        // Out: the force that broke it loose is the greatest it saw while standing. In: a ring sits loose at first.
        const bool out = ring.spec().work == Work::out;
        if (out ? ring.moving() : ring.slid_mm() > has_entered_mm) {
            release = at;
            release->force_N = peak_before_release.force_N;
        }
    }
    if (!clear && ring.clear()) clear = at;
    if (!home && ring.home()) home = at;
    if (!drift_slip && press.drift_slipped()) drift_slip = at;
}

std::string Truth::json(const Scenario& scenario, std::string_view ended_by, double end_s) const {
    const ScenarioKind& kind = find_scenario(scenario.name);
    JsonWriter json(2);
    json.object().put("scenario", scenario.name).put("seed", static_cast<std::int64_t>(scenario.seed));
    json.put("work", work_name(kind.work)).key("calls").array();
    for (const auto call : kind.calls) json.text(call);
    json.end();
    put_moment(json, "contact", contact, contact);
    put_moment(json, kind.work == Work::out ? "release" : "entering", release, contact);
    put_moment(json, "peak", peak, contact);
    if (kind.work == Work::out) put_moment(json, "clear", clear, contact);
    if (kind.work == Work::in) put_moment(json, "home", home, contact);
    put_moment(json, "drift_slip", drift_slip, contact);
    json.put("mishap", mishap_name(scenario.mishap));
    put_moment(json, "mishap_at", mishap_at, contact);
    json.put("ended_by", ended_by).put("end_s", micro(end_s));
    const PressSpec& press = scenario.press;
    const SeatSpec& seat = scenario.seat;
    json.key("parameters").object();
    json.put("pitch_mm", press.pitch_mm).put("stiffness_N_per_mm", press.stiffness_N_per_mm);
    json.put("slack_mm", press.slack_mm).put("toe_mm", press.toe_mm).put("creeping_share", press.creeping_share);
    json.put("seat_length_mm", seat.length_mm).put("grip_N", seat.grip_N).put("bond_N", seat.bond_N);
    json.put("static_friction", seat.static_friction).put("static_over_kinetic", seat.static_over_kinetic);
    json.put("tightening", seat.tightening).put("lets_go_at_N", lets_go_at_N(seat)).put("knee_N", seat.knee_N);
    json.put("careful_turns_per_s", scenario.hand.careful_turns_per_s);
    json.put("brisk_turns_per_s", scenario.hand.brisk_turns_per_s).put("gives_up_N", scenario.hand.gives_up_N);
    json.end().end();
    return json.take() + "\n";
}

}  // namespace halfturn::practice
