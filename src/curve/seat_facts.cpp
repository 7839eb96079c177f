#include "curve/seat_facts.hpp"

#include <algorithm>
#include <cmath>

#include "core/failure.hpp"
#include "core/number_text.hpp"
#include "curve/friction.hpp"
#include "fit/bearing_tolerances.hpp"
#include "fit/bearings.hpp"
#include "fit/iso286.hpp"
#include "fit/materials.hpp"
#include "fit/screw.hpp"
#include "fit/threads.hpp"

namespace halfturn::curve {

namespace {

using fit::Basis;

constexpr double default_measuring_u_um = 5;
constexpr double um_per_mm = 1000;
constexpr double farthest_from_nominal_um = 300;

void set_bearing(SeatFacts& facts, const JobFile& job) {
    const auto& given = job.bearing;
    if (!given.designation.empty() && !(given.d_mm && given.D_mm && given.B_mm)) {
        const auto bearing = fit::find_bearing(given.designation);
        facts.d_mm = bearing.d_mm;
        facts.D_mm = bearing.D_mm;
        facts.B_mm = bearing.B_mm;
        facts.bearing_source = bearing.dimensions_source;
        // A maker's catalogue allows half the static rating as a purely axial load, a quarter for diameter
        // series 8, 9, 0 and for bores up to 12 mm.
        const bool light = bearing.d_mm <= 12 || bearing.designation.starts_with("61") ||
                           bearing.designation.starts_with("60");
        facts.axial_limit_N = bearing.C0_N * (light ? 0.25 : 0.5);
    } else {
        facts.bearing_source = {Basis::measured, "given in the job"};
    }
    facts.d_mm = given.d_mm.value_or(facts.d_mm);
    facts.D_mm = given.D_mm.value_or(facts.D_mm);
    facts.B_mm = given.B_mm.value_or(facts.B_mm);
    if (!(facts.d_mm > 0 && facts.D_mm > facts.d_mm && facts.B_mm > 0))
        throw BadInput("the bearing's sizes do not fit each other: d " + number_text(facts.d_mm) + ", D " +
                       number_text(facts.D_mm) + ", B " + number_text(facts.B_mm) +
                       " mm; D must be larger than d");
}

double deviation_um(double measured_mm, double D_mm, const char* key) {
    const double um = (measured_mm - D_mm) * um_per_mm;
    if (std::abs(um) > farthest_from_nominal_um)
        throw BadInput(std::string(key) + " = " + number_text(measured_mm) +
                       " is more than 0.3 mm from the ring's outside "
                       "diameter " +
                       number_text(D_mm) + " mm; check the measurement or the bearing");
    return um;
}

void set_seat(SeatFacts& facts, const JobFile& job) {
    const auto& seat = job.seat_fit;
    facts.smoothing_um =
        between(0, 2, {Basis::assumed, "0.4 of the two Rz, up to 1 µm on the ring and 4 µm in the bore"});
    if (seat.bore_mm) {
        facts.bore_um =
            normal(deviation_um(*seat.bore_mm, facts.D_mm, "bore_mm"),
                   seat.bore_u_um.value_or(default_measuring_u_um),
                   {Basis::measured,
                    seat.bore_u_um ? "measured bore" : "measured bore, its uncertainty assumed 5 µm"});
        if (facts.work == Work::out)
            facts.smoothing_um =
                exactly(0, {Basis::assumed, "a seat that has been pressed is smoothed already"});
    } else if (!seat.tolerance_class.empty()) {
        const auto cell = fit::limits(fit::Feature::hole, seat.tolerance_class, facts.D_mm);
        facts.bore_um = between(cell.lower_um, cell.upper_um,
                                {cell.source.basis, "ISO 286 " + cell.name + ", evenly within its limits"});
    } else {
        const double tightest = fit::limits("N7", facts.D_mm).lower_um,
                     loosest = fit::limits("H7", facts.D_mm).upper_um;
        facts.bore_um =
            between(tightest, loosest, {Basis::assumed, "seat not known: anything from N7 to H7"});
    }
    if (seat.outside_mm) {
        facts.ring_um =
            normal(deviation_um(*seat.outside_mm, facts.D_mm, "outside_mm"),
                   seat.outside_u_um.value_or(default_measuring_u_um), {Basis::measured, "measured ring"});
    } else {
        const auto cell = fit::bearing_tolerance(fit::BearingDimension::outer_diameter, "Normal", facts.D_mm);
        facts.ring_um = between(cell.lower_um, cell.upper_um,
                                {cell.source.basis, "ISO 492 class Normal, evenly within its limits"});
    }
}

// The steps of the job file run along the axis from the seat's open end; the section wants them end to end
// from the mouth.
std::vector<fit::HousingStep> steps_of(const std::vector<SectionStep>& given, double& seat_from_mouth_mm) {
    std::vector<SectionStep> sorted = given;
    std::sort(sorted.begin(), sorted.end(),
              [](const auto& a, const auto& b) { return a.from_mm < b.from_mm; });
    std::vector<fit::HousingStep> steps;
    for (std::size_t i = 0; i < sorted.size(); ++i) {
        if (i > 0 && std::abs(sorted[i].from_mm - sorted[i - 1].to_mm) > 1e-6)
            throw BadInput("housing.section: a step ends at " + number_text(sorted[i - 1].to_mm) +
                           " mm and the next begins at " + number_text(sorted[i].from_mm) +
                           " mm; the steps must follow each other without gap or overlap");
        steps.push_back(
            {sorted[i].to_mm - sorted[i].from_mm, sorted[i].inner_diameter_mm, sorted[i].outer_diameter_mm});
    }
    seat_from_mouth_mm = sorted.empty() ? 0 : -sorted.front().from_mm;
    return steps;
}

// Outside of the step over the middle of the seat; 0 when there is none.
double outside_of_steps(const std::vector<SectionStep>& steps, double B_mm) {
    for (const auto& step : steps)
        if (step.from_mm <= B_mm / 2 && step.to_mm >= B_mm / 2) return step.outer_diameter_mm;
    return 0;
}

void set_hub(SeatFacts& facts, const JobFile& job) {
    const auto& housing = job.housing;
    const double outside = housing.section.empty() ? housing.outside_diameter_mm.value_or(0)
                                                   : outside_of_steps(housing.section, facts.B_mm);
    if (outside > 0) {
        if (outside <= facts.D_mm * 1.001)
            throw BadInput("housing.outside_diameter_mm = " + number_text(outside) +
                           " is not larger than the seat (" + number_text(facts.D_mm) +
                           " mm); give the outside of the metal around the seat");
        facts.hub_outside_mm = exactly(outside, {Basis::measured, "housing outside diameter"});
    } else {
        facts.hub_outside_mm =
            between(1.15 * facts.D_mm, 2.0 * facts.D_mm,
                      {Basis::assumed, "housing wall not known: outside 1.15 to 2 times the seat"});
    }
    double alpha = 23.6e-6;
    if (!housing.material.empty()) {
        const auto material = fit::find_material(housing.material);
        facts.hub_E_GPa = normal(material.E_GPa, material.E_u_GPa, material.source);
        facts.hub_nu = material.nu;
        facts.hub_yield_MPa = material.yield_low_MPa;
        alpha = material.alpha_per_K;
    } else {
        facts.hub_E_GPa = log_range(
            60, 215, {Basis::assumed, "housing material not known: anything from aluminium to steel"});
    }
    if (housing.temperature_C) {
        // Out: ring and hub share the heat. In: the hub is warmed and the ring comes from the bench.
        const double above_20 = *housing.temperature_C - 20;
        const double ring_alpha = facts.work == Work::out ? fit::ring_steel().alpha_per_K : 0;
        facts.thermal_um = facts.D_mm * um_per_mm * (ring_alpha - alpha) * above_20;
    }
}

// How hard this ring's seat grips, and how sure that is. Where nobody says whether the ring is sealed, half
// way between.
void set_stiffness(SeatFacts& facts, const JobFile& job, fit::StiffnessMethod method) {
    fit::Housing housing;
    facts.shape = job.housing.shape;
    housing.shape = job.housing.shape;
    housing.outside_mm = facts.hub_outside_mm.middle();
    housing.E_GPa = facts.hub_E_GPa.middle();
    housing.nu = facts.hub_nu;
    facts.has_section = !job.housing.section.empty();
    housing.steps = steps_of(job.housing.section, housing.seat_from_mouth_mm);

    const auto sealed =
        job.bearing.sealed ? job.bearing.sealed : fit::sealed_by_suffix(job.bearing.designation);
    facts.ring = fit::ring_section({facts.d_mm, facts.D_mm, facts.B_mm, sealed.value_or(true)});
    facts.seat = method == fit::StiffnessMethod::section
                     ? fit::seat_stiffness(facts.ring, housing)
                     : fit::seat_stiffness_by_correction(facts.ring, housing);
    double rel_u = facts.seat.N_per_um_rel_u;
    if (!sealed) {
        const double open = fit::seat_stiffness_by_correction(
                                fit::ring_section({facts.d_mm, facts.D_mm, facts.B_mm, false}), housing)
                                .N_per_um /
                            fit::seat_stiffness_by_correction(facts.ring, housing).N_per_um;
        facts.seat.N_per_um *= (1 + open) / 2;
        rel_u = std::hypot(rel_u, std::abs(1 - open) / 2 / std::sqrt(3.0));
    }
    facts.grip_model =
        normal(1, rel_u,
               {Basis::assumed, std::string(facts.seat.method == fit::StiffnessMethod::section
                                                ? "finite-element section, the ring by design rules"
                                                : "closed formula fitted to finite-element runs, the ring by design rules") +
                                    (sealed ? "" : "; sealed or open not known")});
    constexpr double smallest_in_table_mm = 6, largest_in_table_mm = 50;
    if (facts.d_mm <= smallest_in_table_mm || facts.d_mm > largest_in_table_mm) {
        facts.clearance_um = between(5, 30, {Basis::assumed, "bore outside the table of clearances"});
        return;
    }
    const bool known = !job.bearing.clearance.empty();
    const auto least = fit::radial_clearance(known ? job.bearing.clearance : "CN", facts.d_mm);
    const auto most = fit::radial_clearance(known ? job.bearing.clearance : "C3", facts.d_mm);
    facts.clearance_um =
        between(least.lower_um, most.upper_um,
                known ? fit::Source{least.source.basis, least.source.text + " " + job.bearing.clearance}
                      : fit::Source{Basis::assumed, "clearance group not known: CN or C3"});
}

void set_pull(SeatFacts& facts, const JobFile& job) {
    facts.surface = job.condition.surface;
    facts.friction = break_loose_friction(facts.work, facts.surface);
    if (job.condition.friction)
        facts.friction = log_range(*job.condition.friction / 1.25, *job.condition.friction * 1.25,
                                   {Basis::measured, "friction given in the job, taken as good to 25 %"});
    facts.over_sliding = break_loose_over_sliding(facts.work);
    if (facts.surface == Surface::bonded && facts.work == Work::out) facts.bond_MPa = bond_shear_MPa();

    const double middle_radius = (facts.d_mm + facts.D_mm) / 4;
    const auto reach = job.drift.reach_mm;
    facts.through_balls = reach ? *reach < middle_radius : facts.work == Work::out;
    facts.lambda = exactly(0, {Basis::assumed, "the outer ring itself is pushed"});
    if (facts.through_balls) {
        // The rings' own give, which the contact angle leaves out, is worth some 5 %.
        const double rel_u = std::hypot(facts.seat.lambda_rel_u, 0.05);
        facts.lambda = normal(facts.seat.lambda, rel_u * facts.seat.lambda,
                              {Basis::assumed, "housing section; contact angle by Hertz from load and clearance"});
        const double most_um = std::max(0.0, facts.ring_um.at(0.999) - facts.bore_um.at(0.001) + facts.thermal_um);
        const double most_N = 2 * facts.friction.at(0.999) * facts.seat.N_per_um * most_um;
        facts.balls = BallAngles(fit::ball_path(facts.ring), facts.clearance_um.at(0.001) - facts.seat.raceway_um_per_um * most_um,
                                 facts.clearance_um.at(0.999), most_N);
    }
    facts.off_axis_mm = exactly(0, {Basis::assumed, "the drift stands in the axis"});
    facts.softening_mm = exactly(0, facts.off_axis_mm.source);
    if (facts.access == Access::past_spacer || (facts.access == Access::unknown && facts.work == Work::out)) {
        const double radius = reach.value_or(facts.d_mm / 2 + 1);
        if (facts.access == Access::unknown)
            facts.off_axis_mm = between(0, 0.7 * radius, {Basis::assumed, "not known whether the drift gets straight at the ring"});
        else
            facts.off_axis_mm =
                between(0.1 * radius, 0.7 * radius,
                        {reach ? Basis::measured : Basis::assumed,
                         "drift off the axis; it pushes over an arc, so 0.1 to 0.7 of its reach counts"});
        facts.softening_mm = log_range(
            0.01, 0.12,
            {Basis::assumed, "finite-element runs of an off-axis pull: 10 to 120 µm from knee to release"});
    }
}

void set_rig(SeatFacts& facts, const RigFile* rig) {
    facts.toe_mm = between(0.01, 0.06, {Basis::assumed, "settling of the stack before it is stiff"});
    facts.stiffness_N_per_mm =
        log_range(10000, 30000, {Basis::assumed, "stiffness not known: 10 to 30 kN/mm is usual"});
    if (rig == nullptr) return;
    facts.pitch_mm = pitch_of(*rig);
    if (rig->press.stiffness_N_per_mm) {
        const double k = *rig->press.stiffness_N_per_mm;
        facts.stiffness_measured = true;
        facts.stiffness_N_per_mm =
            normal(k, rig->press.stiffness_u.value_or(0.1 * k),
                   {Basis::measured, rig->press.stiffness_u ? "rig stiffness"
                                                            : "rig stiffness, its uncertainty assumed 10 %"});
        // A normal distribution reaches below zero when the doubt is large; a stiffness does not.
        const double relative_u = facts.stiffness_N_per_mm.b / k;
        if (relative_u > 0.15) {
            const double factor =
                std::exp(1.96 * std::min(relative_u, 1.0));  // beyond that it is as good as unknown
            facts.stiffness_N_per_mm = log_range(k / factor, k * factor, facts.stiffness_N_per_mm.source);
        }
    }
    facts.force_limit_N = rig->press.force_limit_N;
    facts.screw_name = rig->screw.thread;
    if (!rig->screw.thread.empty() && !rig->screw.property_class.empty()) {
        facts.screw_name += " " + rig->screw.property_class;
        const auto names = fit::thread_names();
        const bool listed = std::find(names.begin(), names.end(), rig->screw.thread) != names.end();
        if (listed) {
            const auto thread = fit::find_thread(rig->screw.thread);
            facts.screw_proof_N = fit::proof_load_N(thread, rig->screw.property_class);
            if (!facts.off_axis_mm.known())
                facts.screw_bending_N =
                    fit::off_axis_load_N(thread, *facts.screw_proof_N, facts.off_axis_mm.at(1) / 0.7);
        }
    }
    for (const auto& channel : rig->channels) {
        if (channel.measures == Measure::force) {
            facts.force_rate_per_s = channel.readings_per_s;
            facts.force_least_count_N = channel.least_count;
            if (channel.capacity > 0) facts.cell_capacity_N = channel.capacity;
        }
        if (channel.measures == Measure::screw_travel || channel.measures == Measure::turns)
            facts.travel_rate_per_s = channel.readings_per_s;
    }
}

}  // namespace

SeatFacts facts_from(const JobFile& job, const RigFile* rig, fit::StiffnessMethod method) {
    SeatFacts facts;
    facts.work = job.work;
    facts.access = job.access;
    try {
        set_bearing(facts, job);
        set_seat(facts, job);
        set_hub(facts, job);
        set_stiffness(facts, job, method);
        set_pull(facts, job);
    } catch (const BadInput& error) {
        throw BadInput(job.file + ": " + error.what());
    }
    set_rig(facts, rig);
    return facts;
}

}  // namespace halfturn::curve
