// How an expectation reads: a page for people, JSON for programs.
#include <algorithm>
#include <string>

#include "core/calm_text.hpp"
#include "core/folded_text.hpp"
#include "core/json_writer.hpp"
#include "core/number_text.hpp"
#include "curve/expectation.hpp"
#include "curve/plot.hpp"

namespace halfturn::curve {

namespace {

void put_band(JsonWriter& json, const char* key, const Band& band) {
    json.key(key).object().put("low", band.low).put("mid", band.mid).put("high", band.high).end();
}

std::string newtons(double value) { return value >= 1000 ? figures_text(value, 3) : fixed_text(value, 0); }

std::string band_text(const Band& band, const std::string& unit, int decimals) {
    return fixed_text(band.low, decimals) + " to " + fixed_text(band.high, decimals) + unit +
           ", most likely " + fixed_text(band.mid, decimals);
}
std::string force_text(const Band& band) {
    return newtons(band.low) + " to " + newtons(band.high) + " N, most likely " + newtons(band.mid);
}

std::string labelled(const std::string& label, const std::string& text) {
    const std::size_t width = 21;
    return folded_text(text, "  " + label + std::string(label.size() < width ? width - label.size() : 1, ' '),
                  std::string(width + 2, ' '));
}

// What earlier jobs of the family did to the band: before beside after, and who was left out.
std::string family_text(const FamilyLearned& f) {
    std::string text = "\n" + folded_text("Learned from " + std::to_string(f.used) + " of " + std::to_string(f.jobs) +
                                             (f.jobs == 1 ? " earlier job" : " earlier jobs") + " of its family: " + calm_line(f.name),
                                         "  ", "    ");
    if (f.used > 0) {
        const auto line = [&](const char* what, const std::string& before, const std::string& after) {
            text += labelled(what, after);
            text += labelled("  before that", before);
        };
        const auto three = [](const Band& band) {
            return fixed_text(band.low, 2) + " to " + fixed_text(band.high, 2) + ", most likely " + fixed_text(band.mid, 2);
        };
        line("force", force_text(f.prior.break_loose_N), force_text(f.posterior.break_loose_N));
        line("interference", band_text(f.prior.interference_um, " µm", 1), band_text(f.posterior.interference_um, " µm", 1));
        line("friction", three(f.prior.friction), three(f.posterior.friction));
    } else text += "  No job could be used, so the band is what the sizes and tables give.\n";
    for (const auto& left : f.left_out)
        text += folded_text("left out: job " + std::to_string(left.number) + ", " + calm_line(left.because), "    ", "      ");
    return text;
}

void put_bands(JsonWriter& json, const char* key, const FamilyLearned::Bands& bands) {
    json.key(key).object();
    put_band(json, "break_loose_N", bands.break_loose_N);
    put_band(json, "interference_um", bands.interference_um);
    put_band(json, "friction", bands.friction);
    json.end();
}

void put_family(JsonWriter& json, const FamilyLearned& f) {
    json.key("family").object().put("name", std::string_view(f.name)).put("jobs", f.jobs).put("used", f.used).key("left_out").array();
    for (const auto& left : f.left_out)
        json.object().put("number", left.number).put("because", std::string_view(left.because)).end();
    json.end();
    put_bands(json, "prior", f.prior);
    put_bands(json, "posterior", f.posterior);
    json.put("own_share", f.own_share).end();
}

std::string plots(const Expectation& e, const SeatFacts& facts) {
    std::string out;
    if (e.curve.size() < 2) return out;
    const double end = e.curve.back().turns;
    if (facts.work == Work::out) {
        const double near = std::min(end, std::max(0.1, 1.25 * e.break_loose_turns.high));
        out += "\n  Force, N, against turns since contact: winding up and breaking loose\n" +
               plot_band(e.curve, 0, near, {66, 12});
        out += "\n  The same until the ring is clear\n" + plot_band(e.curve, 0, end, {66, 8});
    } else {
        out += "\n  Force, N, against turns since contact: entry, rise, home\n" +
               plot_band(e.curve, 0, std::min(end, e.end_turns.high + 0.05), {66, 12});
    }
    return out;
}

}  // namespace

std::string expectation_text(const Expectation& e, const SeatFacts& facts) {
    const bool out_of = facts.work == Work::out;
    std::string text =
        out_of ? "Expected force to get this ring out\n" : "Expected force to press this ring in\n";
    text += labelled(out_of ? "break-loose" : "just before home",
                     force_text(e.break_loose_N) + " (95 of 100 seats)");
    if (out_of)
        text += labelled("sliding after that", force_text(e.sliding_N) + ", falling to nothing over " +
                                                   figures_text(e.seat_length_mm, 3) + " mm");
    if (facts.pitch_mm) {
        if (out_of)
            text +=
                labelled("that is at", band_text(e.break_loose_turns, " turn", 2) + ", counted from contact");
        text += labelled(out_of ? "clear after" : "home after", fixed_text(e.end_turns.mid, 1) + " turns");
    }
    text += labelled("interference", band_text(e.interference_um, " µm", 1) + " (on the diameter)");
    text += labelled("contact pressure", band_text(e.pressure_MPa, " MPa", 1));
    text += labelled("bearing's play left", band_text(e.clearance_left_um, " µm", 0));
    text += labelled("chance it is loose", fixed_text(100 * e.loose_probability, 1) + " %");
    if (e.limit_turns)
        text += labelled("on a stuck ring", "the " + e.limit_is + ", " + newtons(*e.limit_N) +
                                                " N, is reached at " + fixed_text(e.limit_turns->mid, 2) +
                                                " turn (" + fixed_text(e.limit_turns->low, 2) + " to " +
                                                fixed_text(e.limit_turns->high, 2) + ")");
    text += labelled("turn no faster than",
                     e.fastest_turns_per_s > 0
                         ? figures_text(e.fastest_turns_per_s, 2) + " turns a second, " + e.fastest_because
                         : "not known: " + e.fastest_because);
    if (e.family) text += family_text(*e.family);
    text += plots(e, facts);
    text += "\n" + folded_text(e.widest_input, "  What widens the band most: ", "    ");
    if (!e.advice.empty()) text += "\n";
    for (const auto& line : e.advice) text += folded_text(line, "  * ", "    ");
    text += "\n  What this rests on\n";
    for (const auto& ground : e.rests_on)
        text += labelled(ground.what, ground.value + "; " + fit::source_text(ground.source));
    text += labelled("sampling", "16384 draws with 8 frictions each, low-discrepancy, seed " +
                                     std::to_string(e.seed) + "; bands hold 95 of 100");
    text +=
        "\n  Wear eye protection, keep hands clear of the drift, never go past the rated\n"
        "  load. Local rules and the part maker's instructions come before this page.\n";
    return text;
}

std::string expectation_json(const Expectation& e) {
    JsonWriter json;
    json.object().key("expected").object();
    put_band(json, "break_loose_N", e.break_loose_N);
    json.key("curve").array();
    for (const auto& point : e.curve)
        json.object()
            .put("turns", point.turns)
            .put("low_N", point.low_N)
            .put("mid_N", point.mid_N)
            .put("high_N", point.high_N)
            .end();
    json.end().end();
    put_band(json, "interference_um", e.interference_um);
    put_band(json, "pressure_MPa", e.pressure_MPa);
    put_band(json, "clearance_left_um", e.clearance_left_um);
    json.put("loose_probability", e.loose_probability).put("widest_input", e.widest_input);
    put_band(json, "sliding_N", e.sliding_N);
    if (e.knee_N)
        put_band(json, "knee_N", *e.knee_N);
    else
        json.key("knee_N").null();
    json.key("cocks_after_mm");
    if (e.cocks_after_mm)
        json.number(*e.cocks_after_mm);
    else
        json.null();
    put_band(json, "break_loose_turns", e.break_loose_turns);
    put_band(json, "end_turns", e.end_turns);
    json.put("seat_length_mm", e.seat_length_mm);
    put_band(json, "stiffness_N_per_mm", e.stiffness_N_per_mm);
    json.put("stiffness_measured", e.stiffness_measured);
    if (e.limit_N)
        json.put("limit_N", *e.limit_N).put("limit_is", e.limit_is);
    else
        json.key("limit_N").null();
    if (e.limit_turns)
        put_band(json, "limit_turns", *e.limit_turns);
    else
        json.key("limit_turns").null();
    json.key("fastest_turns_per_s");
    if (e.fastest_turns_per_s > 0)
        json.number(e.fastest_turns_per_s);
    else
        json.null();
    json.put("fastest_because", e.fastest_because).put("force_step_N_at_fastest", e.force_step_N_at_fastest);
    json.key("grip").object().key("friction").array();
    for (const double friction : e.grip.friction) json.number(friction);
    json.end().key("N_per_um").array();
    for (const double N_per_um : e.grip.N_per_um) json.number(N_per_um);
    json.end().put("relative_u", e.grip.relative_u);
    put_band(json, "friction_band", e.grip.friction_band);
    put_band(json, "over_sliding", e.grip.over_sliding);
    json.end();
    if (e.family) put_family(json, *e.family);
    json.key("rests_on").array();
    for (const auto& ground : e.rests_on)
        json.object()
            .put("what", ground.what)
            .put("value", ground.value)
            .put("basis", fit::basis_text(ground.source.basis))
            .put("source", ground.source.text)
            .end();
    json.end().key("advice").array();
    for (const auto& line : e.advice) json.text(line);
    json.end().put("seed", static_cast<std::int64_t>(e.seed));
    return json.end().take();
}

}  // namespace halfturn::curve
