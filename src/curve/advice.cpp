#include "curve/advice.hpp"

#include <algorithm>

#include "core/number_text.hpp"

namespace halfturn::curve {

namespace {

std::string span_text(const Doubt& doubt, int decimals, const std::string& unit, double offset = 0,
                      double scale = 1) {
    const auto number = [&](double value) { return fixed_text(offset + scale * value, decimals); };
    if (doubt.known()) return number(doubt.a) + unit;
    if (doubt.spread == Spread::normal)
        return number(doubt.a) + " ± " + fixed_text(scale * doubt.b, decimals) + unit;
    return number(doubt.a) + " to " + number(doubt.b) + unit;
}

std::string shape_text(const SeatFacts& facts) {
    return facts.has_section ? "housing section as given"
                             : "housing shape " + std::string(housing_shape_id(facts.shape));
}

}  // namespace

std::vector<Ground> grounds_of(const SeatFacts& facts) {
    std::vector<Ground> list;
    list.push_back(
        {"bearing",
         number_text(facts.d_mm) + " x " + number_text(facts.D_mm) + " x " + number_text(facts.B_mm) + " mm",
         facts.bearing_source});
    list.push_back(
        {"seat bore", span_text(facts.bore_um, 4, " mm", facts.D_mm, 0.001), facts.bore_um.source});
    list.push_back(
        {"outer ring", span_text(facts.ring_um, 4, " mm", facts.D_mm, 0.001), facts.ring_um.source});
    list.push_back({"smoothing loss", span_text(facts.smoothing_um, 1, " µm"), facts.smoothing_um.source});
    if (facts.thermal_um != 0)
        list.push_back({"heat",
                        fixed_text(facts.thermal_um, 1) + " µm of interference",
                        {fit::Basis::measured, "housing temperature and the metals' expansion"}});
    list.push_back(
        {"housing outside", span_text(facts.hub_outside_mm, 1, " mm"), facts.hub_outside_mm.source});
    list.push_back({"housing stiffness", span_text(facts.hub_E_GPa, 1, " GPa"), facts.hub_E_GPa.source});
    list.push_back({"grip",
                    figures_text(facts.seat.N_per_um, 4) + " N/µm ± " +
                        fixed_text(100 * facts.grip_model.b, 0) + " %, " + shape_text(facts),
                    facts.grip_model.source});
    list.push_back({"friction",
                    span_text(facts.friction, 2, "") + ", " + std::string(surface_name(facts.surface)),
                    facts.friction.source});
    list.push_back({"bearing's play", span_text(facts.clearance_um, 0, " µm"), facts.clearance_um.source});
    if (facts.bond_MPa)
        list.push_back({"bond", span_text(*facts.bond_MPa, 0, " MPa in shear"), facts.bond_MPa->source});
    if (facts.through_balls)
        list.push_back({"pull through the balls",
                        "seat gains " + span_text(facts.lambda, 2, " N for each N the balls spread the ring with"),
                        facts.lambda.source});
    if (!facts.off_axis_mm.known())
        list.push_back(
            {"pull off the axis", span_text(facts.off_axis_mm, 1, " mm"), facts.off_axis_mm.source});
    list.push_back({"press stiffness", span_text(facts.stiffness_N_per_mm, 0, " N/mm"),
                    facts.stiffness_N_per_mm.source});
    return list;
}

std::vector<std::string> advice_for(const Expectation& expected, const SeatFacts& facts) {
    std::vector<std::string> advice;
    if (!facts.pitch_mm)
        advice.push_back(
            "The screw's pitch is not known, so nothing can be said in turns: name its thread in the rig "
            "file.");
    if (!facts.stiffness_measured)
        advice.push_back(
            "The press's stiffness has not been measured, so turns are rough: the half-turn rule means "
            "something only with it.");
    if (expected.loose_probability > 0.025)
        advice.push_back("With a chance of " + fixed_text(100 * expected.loose_probability, 0) +
                         " % this seat does not grip at all.");
    if (expected.limit_turns && expected.limit_turns->mid < 0.5)
        advice.push_back("On a stuck ring the " + expected.limit_is +
                         " is reached before half a turn: watch the force, not only the turns.");
    if (expected.limit_N && expected.break_loose_N.high > *expected.limit_N)
        advice.push_back("The expected force may reach past the " + expected.limit_is +
                         ": this rig may be too small for the job.");
    if (facts.bond_MPa)
        advice.push_back(
            "A bonded seat needs several times the force. Warming it softens most compounds; follow the "
            "maker's sheet.");
    if (expected.cocks_after_mm)
        advice.push_back(
            *expected.cocks_after_mm > 0
                ? "Pulled off the axis the ring may cock once some " +
                      fixed_text(*expected.cocks_after_mm, 1) +
                      " mm of it are out: look closer at the first sign, and keep the drift moving round."
                : "Pulled this far off the axis this ring may cock at once: look closer at the first sign of "
                  "it, and "
                  "keep the drift moving round.");
    if (facts.screw_bending_N &&
        *facts.screw_bending_N < std::max(expected.break_loose_N.high, expected.limit_N.value_or(0)))
        advice.push_back("Off the axis the screw bends as well: the " + facts.screw_name +
                         " may start to yield near " + figures_text(*facts.screw_bending_N, 2) +
                         " N (a simple beam without the drift's help, so pessimistic).");
    if (facts.through_balls && facts.axial_limit_N > 0 && expected.break_loose_N.mid > facts.axial_limit_N) {
        const std::string limit = figures_text(facts.axial_limit_N, 2) + " N it dents the races";
        advice.push_back(facts.work == Work::in
                             ? "Pushing on the inner ring sends the force through the balls: above about " +
                                   limit + ". Push on the outer ring."
                             : "The pull goes through the balls, and above about " + limit +
                                   ": do not use this bearing again.");
    }
    if (expected.knee_N)
        advice.push_back("Pulled off the axis, the ring pivots before it lets go: the force bends near " +
                         figures_text(expected.knee_N->mid, 2) + " N. That knee is not the release.");
    const double hoop_MPa = facts.seat.hoop_MPa_per_um * expected.interference_um.high;
    if (facts.work == Work::in && expected.clearance_left_um.low < 0)
        advice.push_back("Pressed in, this bearing may lose all its play: between " +
                         fixed_text(expected.clearance_left_um.low, 0) + " and " +
                         fixed_text(expected.clearance_left_um.high, 0) +
                         " µm are left of it. Turn it by hand afterwards.");
    if (facts.hub_yield_MPa > 0 && hoop_MPa > facts.hub_yield_MPa)
        advice.push_back(
            "At the tight end of this fit the housing would yield, and the force stay below what is shown.");
    return advice;
}

}  // namespace halfturn::curve
