#include "plan/parts.hpp"

#include <algorithm>
#include <cmath>
#include <numbers>

#include "core/failure.hpp"
#include "core/number_text.hpp"
#include "fit/bearings.hpp"
#include "fit/screw.hpp"
#include "plan/words.hpp"

namespace halfturn::plan {

namespace {

using std::numbers::pi;

// Common practice, no published source.
constexpr double passes_with_mm = 0.05;      // a drift or a disc this much smaller than a bore goes through it
constexpr double plug_fits_with_mm = 0.01;   // ISO 492: a Normal-class bore is at most 10 um under its size here
constexpr double clears_with_mm = 0.5;       // a support's inside over the bearing's outside
constexpr double comes_out_with_mm = 1;      // a support's height over the bearing's width
constexpr double mouth_chamfer_mm = 0.5;     // of a housing whose ground is not measured
constexpr double shoulder_high_mm = 1.25;    // of a housing whose passage is not measured: what fit/housing takes
constexpr double free_pitches = 3;           // of screw beyond the nut

double annulus_mm2(double inner, double outer) {
    return outer > inner ? pi / 4 * (outer * outer - inner * inner) : 0;
}

template <class Part>
struct Candidate {
    Part part;
    double score;
    std::string why;
};

// The best of the candidates, and the next. `none` says why there is none.
template <class Part>
Choice<Part> best_of(std::vector<Candidate<Part>> list, const std::string& none) {
    Choice<Part> choice;
    if (list.empty()) {
        choice.why = none;
        return choice;
    }
    std::stable_sort(list.begin(), list.end(),
                     [](const auto& one, const auto& other) { return one.score > other.score; });
    choice.chosen = list[0].part;
    choice.why = list[0].why;
    if (list.size() > 1) {
        choice.runner_up = list[1].part.name;
        choice.runner_up_why = list[1].why;
    }
    return choice;
}

// Names of the parts left out with the reason, for the sentence that says why nothing suits.
class LeftOut {
public:
    explicit LeftOut(const Inventory& inventory) : given_(inventory.given) {}
    void add(const std::string& name, const std::string& reason) {
        text_ += (text_.empty() ? "" : "; ") + name + " " + reason;
    }
    std::string sentence(const std::string& wanted) const {
        if (!given_) return wanted;
        return wanted + (text_.empty() ? "; the inventory lists none" : ": " + text_);
    }

private:
    bool given_;
    std::string text_;
};

bool pulls_past_spacer(const curve::SeatFacts& facts) {
    return facts.work == Work::out && facts.access == Access::past_spacer;
}

double passage_mm(const curve::SeatFacts& facts, const JobFile& job) {
    if (job.drift.passage_mm) return *job.drift.passage_mm;
    if (facts.work == Work::in) return facts.D_mm;
    const auto shape = facts.shape;
    const bool open = shape == HousingShape::flush || shape == HousingShape::bore_goes_on || shape == HousingShape::long_tube;
    return open ? facts.D_mm : facts.D_mm - 2 * shoulder_high_mm;
}

Choice<Drift> choose_drift(const Faces& faces, const curve::SeatFacts& facts, const JobFile& job,
                           const Inventory& inventory) {
    const bool aside = pulls_past_spacer(facts);
    const double way = aside ? facts.d_mm : passage_mm(facts, job);
    std::vector<Candidate<Drift>> list;
    LeftOut left_out(inventory);
    for (const Drift& drift : inventory.drifts) {
        if (aside && !drift.reach_mm) {
            left_out.add(drift.name, "has no reach");
            continue;
        }
        if (!aside && drift.reach_mm) {
            left_out.add(drift.name, "is made to stand aside, and a straight push needs no reach");
            continue;
        }
        if (drift.diameter_mm > way - passes_with_mm) {
            left_out.add(drift.name, "does not pass the " + mm(way) + " bore");
            continue;
        }
        const Push push = push_of(drift, faces, facts, job);
        if (push.area_mm2 <= 0) {
            left_out.add(drift.name, "finds nothing to push on");
            continue;
        }
        const bool outer = push.on == Push::On::outer_ring;
        const bool on_seal = !outer && 2 * push.edge_mm > faces.inner_to_mm + passes_with_mm;
        std::string why = "passes the " + mm(way) + " bore and bears on " + mm(push.width_mm) + " of the " +
                          (outer ? "outer" : "inner") + " ring's face, " + figures_text(push.area_mm2, 2) + " mm2";
        if (push.off_axis_mm > 0) why += ", its middle " + mm(push.off_axis_mm) + " off the axis";
        if (on_seal) why += "; it also touches the seal";
        // The outer ring first: nothing then goes through the balls. A touched seal is worth half the area.
        const double score = push.area_mm2 * (on_seal ? 0.5 : 1) + (outer ? 1e6 : 0);
        list.push_back({drift, score, why});
    }
    return best_of(std::move(list),
                   left_out.sentence(aside ? "needs a drift that passes the " + mm(way) +
                                                 " bore and reaches past its edge"
                                           : "needs a straight drift between " + mm(faces.inner_from_mm) + " and " +
                                                 mm(way - passes_with_mm)));
}

Choice<Plug> choose_plug(const curve::SeatFacts& facts, const std::optional<Screw>& screw, const Inventory& inventory) {
    std::vector<Candidate<Plug>> list;
    LeftOut left_out(inventory);
    for (const Plug& plug : inventory.plugs) {
        if (plug.diameter_mm > facts.d_mm - plug_fits_with_mm) {
            left_out.add(plug.name, "is too large");
        } else if (screw && plug.hole_mm < fit::find_thread(screw->thread).d_mm) {
            left_out.add(plug.name, "does not let the " + screw->name + " through");
        } else {
            list.push_back({plug, plug.diameter_mm,
                            "leaves " + mm(facts.d_mm - plug.diameter_mm) + " of play in the " + mm(facts.d_mm) + " bore"});
        }
    }
    return best_of(std::move(list), left_out.sentence("needs a plug up to " + mm(facts.d_mm - plug_fits_with_mm)));
}

Choice<Support> choose_support(const curve::SeatFacts& facts, const JobFile& job, const Inventory& inventory) {
    const auto ground = ground_of(facts, job);
    const bool out = facts.work == Work::out;
    std::vector<Candidate<Support>> list;
    LeftOut left_out(inventory);
    for (const Support& support : inventory.supports) {
        const Annulus foot{support.inner_diameter_mm, support.outer_diameter_mm};
        if (out && support.inner_diameter_mm < facts.D_mm + clears_with_mm) {
            left_out.add(support.name, "does not clear the bearing's outside, " + mm(facts.D_mm));
            continue;
        }
        if (out && support.height_mm < facts.B_mm + comes_out_with_mm) {
            left_out.add(support.name, "is too low for the bearing to come out into, " + mm(support.height_mm));
            continue;
        }
        const auto zone = std::find_if(job.keep_off.begin(), job.keep_off.end(), [&](const JobFile::KeepOff& off) {
            return common(foot, {off.inner_diameter_mm, off.outer_diameter_mm}).area_mm2() > 0;
        });
        if (zone != job.keep_off.end()) {
            left_out.add(support.name, "would lean on the " + zone->what);
            continue;
        }
        if (!ground) {
            list.push_back({support, foot.area_mm2(), "clears the bearing; what it leans on is not measured"});
            continue;
        }
        const Annulus bears = common(foot, *ground);
        if (bears.area_mm2() <= 0) {
            left_out.add(support.name, "finds no ground between " + mm(ground->inner_mm) + " and " + mm(ground->outer_mm));
            continue;
        }
        list.push_back({support, bears.area_mm2(),
                        std::string(out ? "clears the bearing and leans" : "leans") + " on " +
                            figures_text(bears.area_mm2(), 3) + " mm2 of the housing, " + mm(bears.inner_mm) + " to " +
                            mm(bears.outer_mm)});
    }
    return best_of(std::move(list),
                   left_out.sentence(out ? "needs a support at least " + mm(facts.D_mm + clears_with_mm) + " inside and " +
                                               mm(facts.B_mm + comes_out_with_mm) + " high, on allowed ground"
                                         : "needs a support that stands on allowed ground"));
}

// How far behind the housing's mouth the seat begins, where its steps were given.
double set_back_mm(const JobFile& job) {
    double from = 0;
    for (const SectionStep& step : job.housing.section) from = std::min(from, step.from_mm);
    return -from;
}

double stack_mm(const PartChoice& parts, const curve::SeatFacts& facts, const JobFile& job, const Inventory& inventory,
                const fit::Thread& thread, double nut_mm) {
    double length = parts.drift.chosen->height_mm + facts.B_mm + parts.support.chosen->height_mm + washers_mm + nut_mm +
                    free_pitches * thread.pitch_mm + set_back_mm(job) + (inventory.load_cell ? inventory.load_cell->height_mm : 0);
    // Pressing in, the screw runs through the whole housing to a support on its far side.
    if (facts.work == Work::in) {
        length += facts.B_mm;
        if (job.spacer && job.spacer->length_mm) length += *job.spacer->length_mm + facts.B_mm;
    }
    return length;
}

Choice<Nut> choose_nut(const std::string& thread_name, const std::vector<Nut>& nuts) {
    const fit::Thread thread = fit::find_thread(thread_name);
    std::vector<Candidate<Nut>> list;
    for (const Nut& nut : nuts)
        if (nut.thread == thread_name)
            list.push_back({nut, nut.height_mm - 100 * nut.collar_friction.value_or(0.14),
                            "engages " + fixed_text(nut.height_mm / thread.pitch_mm, 1) + " turns of " + thread_name +
                                (nut.height_mm < full_nut_diameters * thread.d_mm ? ", less than a full nut's" : "")});
    return best_of(std::move(list), "needs a nut " + thread_name);
}

// The usual hexagon nut: 0.8 d high, on a washer (ISO 4032 and ISO 7089, mean diameters from memory, not looked up).
Nut usual_nut(const fit::Thread& thread) { return {"a full nut", thread.name, full_nut_diameters * thread.d_mm, 1.3 * thread.d_mm}; }

// Nobody listed a screw, but the rig file says which one the press has.
void take_rigs_screw(PartChoice& parts, const curve::SeatFacts& facts, const JobFile& job, const RigFile& rig, const Inventory& inventory) {
    const fit::Thread thread = fit::find_thread(rig.screw.thread);
    parts.screw.chosen = Screw{"the rig's screw", thread.name, rig.screw.property_class, 0};
    parts.screw.why = thread.name + (rig.screw.property_class.empty() ? ", class not known" : " " + rig.screw.property_class) +
                      ", as the rig file says; its length is not given";
    parts.nut = choose_nut(thread.name, inventory.nuts);
    if (!parts.nut.chosen) {
        parts.nut.chosen = usual_nut(thread);
        parts.nut.why = "none is listed, so a full nut is taken, " + mm(parts.nut.chosen->height_mm) + " high";
    }
    if (parts.drift.chosen && parts.support.chosen)
        parts.screw_needs_mm = stack_mm(parts, facts, job, inventory, thread, parts.nut.chosen->height_mm);
}

void choose_screw(PartChoice& parts, const curve::SeatFacts& facts, const JobFile& job, const RigFile* rig,
                  const Inventory& inventory) {
    std::vector<Candidate<Screw>> list;
    LeftOut left_out(inventory);
    std::string rig_thread;
    if (rig && !rig->screw.thread.empty()) rig_thread = fit::find_thread(rig->screw.thread).name;
    if (inventory.screws.empty() && !rig_thread.empty()) return take_rigs_screw(parts, facts, job, *rig, inventory);
    double least_need = 0;
    for (const Screw& screw : inventory.screws) {
        if (!rig_thread.empty() && screw.thread != rig_thread) {
            left_out.add(screw.name, "is not the rig's " + rig_thread);
            continue;
        }
        const fit::Thread thread = fit::find_thread(screw.thread);
        const auto nut = choose_nut(screw.thread, inventory.nuts);
        if (!nut.chosen) {
            left_out.add(screw.name, "has no nut");
            continue;
        }
        if (thread.d_mm > facts.d_mm - passes_with_mm) {
            left_out.add(screw.name, "does not pass the bearing's bore");
            continue;
        }
        if (inventory.load_cell && thread.d_mm > inventory.load_cell->hole_mm) {
            left_out.add(screw.name, "does not pass the load cell's hole, " + mm(inventory.load_cell->hole_mm));
            continue;
        }
        if (parts.drift.chosen && parts.support.chosen) {
            const double need = stack_mm(parts, facts, job, inventory, thread, nut.chosen->height_mm);
            least_need = least_need > 0 ? std::min(least_need, need) : need;
            if (screw.length_mm < need) {
                left_out.add(screw.name, "is " + mm(screw.length_mm) + " long where the stack takes " + mm(need));
                continue;
            }
        }
        std::string why = screw.thread + (screw.property_class.empty() ? ", class not known" : " " + screw.property_class) +
                          ", " + mm(screw.length_mm) + " long";
        double score = -1;
        if (!screw.property_class.empty()) {
            const double proof = fit::proof_load_N(thread, screw.property_class);
            score = fit::off_axis_load_N(thread, proof, parts.push.off_axis_mm);
            why += ", carries " + newtons(score) +
                   (parts.push.off_axis_mm > 0 ? " at that distance from the axis" : " by its proof load");
        }
        list.push_back({screw, score, why});
    }
    parts.screw = best_of(std::move(list), left_out.sentence("needs a screw long enough, with a nut"));
    parts.screw_needs_mm = least_need;
    if (!parts.screw.chosen) {
        parts.nut.why = "no screw to fit it to";
        return;
    }
    parts.nut = choose_nut(parts.screw.chosen->thread, inventory.nuts);
    if (parts.drift.chosen && parts.support.chosen)
        parts.screw_needs_mm = stack_mm(parts, facts, job, inventory, fit::find_thread(parts.screw.chosen->thread),
                                        parts.nut.chosen->height_mm);
}

}  // namespace

double Annulus::area_mm2() const { return annulus_mm2(inner_mm, outer_mm); }

Annulus common(const Annulus& one, const Annulus& other) {
    return {std::max(one.inner_mm, other.inner_mm), std::min(one.outer_mm, other.outer_mm)};
}

Faces faces_of(const curve::SeatFacts& facts, double chamfer_mm) {
    const double r = chamfer_mm > 0 ? chamfer_mm : 0.3;
    const double outer_from = facts.ring.recess_mm > 0 ? facts.ring.recess_mm : facts.ring.shoulder_mm;
    return {facts.d_mm + 2 * r, facts.d_mm + 0.30 * (facts.D_mm - facts.d_mm), outer_from, facts.D_mm - 2 * r};
}

std::optional<double> exposed_to_mm(const curve::SeatFacts& facts, const JobFile& job) {
    if (!job.spacer || !job.spacer->moves_mm) return std::nullopt;
    return job.spacer->bore_mm.value_or(facts.d_mm) / 2 + *job.spacer->moves_mm;
}

Push push_of(const Drift& drift, const Faces& faces, const curve::SeatFacts& facts, const JobFile& job) {
    Push push;
    const double radius = drift.diameter_mm / 2;
    if (pulls_past_spacer(facts)) {
        if (!drift.reach_mm) return push;
        // It stands aside until it meets the spacer, and only the inner ring's face carries it.
        const double stands_at = std::min(*drift.reach_mm, exposed_to_mm(facts, job).value_or(*drift.reach_mm));
        push.edge_mm = std::min(stands_at, faces.inner_to_mm / 2);
        push.width_mm = std::max(0.0, push.edge_mm - faces.inner_from_mm / 2);
        if (push.width_mm <= 0) return push;
        const Lune bears = lune(radius, faces.inner_from_mm / 2, push.edge_mm - radius);
        push.area_mm2 = bears.area_mm2;
        push.off_axis_mm = bears.centre_mm;
        return push;
    }
    push.edge_mm = radius;
    const double over_outer = annulus_mm2(faces.outer_from_mm, std::min(drift.diameter_mm, faces.outer_to_mm));
    if (over_outer > 0) {
        push.on = Push::On::outer_ring;
        push.area_mm2 = over_outer;
        push.width_mm = (std::min(drift.diameter_mm, faces.outer_to_mm) - faces.outer_from_mm) / 2;
    } else {
        const double to = std::min(drift.diameter_mm, faces.inner_to_mm);
        push.area_mm2 = annulus_mm2(faces.inner_from_mm, to);
        push.width_mm = std::max(0.0, (to - faces.inner_from_mm) / 2);
    }
    return push;
}

std::optional<Annulus> ground_of(const curve::SeatFacts& facts, const JobFile& job) {
    std::optional<double> outer = job.ground.outer_diameter_mm;
    if (!outer) outer = job.housing.outside_diameter_mm;
    if (!outer) return std::nullopt;
    return Annulus{job.ground.inner_diameter_mm.value_or(facts.D_mm + 2 * mouth_chamfer_mm), *outer};
}

PartChoice choose_parts(const curve::SeatFacts& facts, const JobFile& job, const RigFile* rig, const Inventory& inventory) {
    PartChoice parts;
    double chamfer = 0;
    if (!job.bearing.designation.empty()) {
        try {
            chamfer = fit::find_bearing(job.bearing.designation).r_min_mm;
        } catch (const BadInput&) {
            // A number the table lacks, with its sizes given: the smallest chamfer of this size range stands for it.
        }
    }
    parts.faces = faces_of(facts, chamfer);
    parts.drift = choose_drift(parts.faces, facts, job, inventory);
    if (parts.drift.chosen) parts.push = push_of(*parts.drift.chosen, parts.faces, facts, job);
    else if (facts.work == Work::in) parts.push.on = Push::On::outer_ring;  // where one that suits will push
    parts.support = choose_support(facts, job, inventory);
    if (const auto ground = ground_of(facts, job); ground && parts.support.chosen)
        parts.leans_on = common({parts.support.chosen->inner_diameter_mm, parts.support.chosen->outer_diameter_mm}, *ground);
    parts.screw_need_is_least = facts.work == Work::in && !(job.spacer && job.spacer->length_mm);
    choose_screw(parts, facts, job, rig, inventory);
    parts.plug = choose_plug(facts, parts.screw.chosen, inventory);
    return parts;
}

}  // namespace halfturn::plan
