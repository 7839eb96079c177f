#include "plan/stack.hpp"

#include <algorithm>

#include "core/failure.hpp"
#include "plan/words.hpp"

namespace halfturn::plan {

namespace {

constexpr double wall_when_unknown_mm = 6;
constexpr double cell_when_unknown_mm = 8;
constexpr double longest_when_unknown = 6;  // a screw whose length nobody gave, in widths of the bearing
constexpr double hole_play_mm = 0.2;
constexpr double nut_across = 0.92;  // of the thread's diameter: half the width across corners of a hexagon 1.6 d wide

fit::HousingSection housing_of(const curve::SeatFacts& facts, const JobFile& job, bool& given) {
    fit::Housing housing;
    given = job.housing.outside_diameter_mm || !job.housing.section.empty();
    housing.outside_mm = job.housing.outside_diameter_mm.value_or(facts.D_mm + 2 * wall_when_unknown_mm);
    if (!job.housing.section.empty()) {
        fit::HousingSection section;
        auto steps = job.housing.section;
        std::sort(steps.begin(), steps.end(), [](const auto& one, const auto& other) { return one.from_mm < other.from_mm; });
        section.seat_from_mouth_mm = std::max(0.0, -steps.front().from_mm);
        for (const SectionStep& step : steps)
            section.steps.push_back({step.to_mm - step.from_mm, step.inner_diameter_mm, step.outer_diameter_mm});
        return section;
    }
    housing.shape = facts.shape;
    if (housing.shape == HousingShape::unknown) {
        given = false;
        housing.shape = HousingShape::shoulder_behind;
    }
    return fit::housing_section(housing, facts.ring);
}

// The far seat of a pair: the housing goes on to its end, where the bore is the bearing's again.
void reach_far_seat(fit::HousingSection& section, double B_mm, double D_mm, double between_mm) {
    const double far_seat = section.seat_from_mouth_mm + B_mm + between_mm;
    double length = 0;
    auto step = section.steps.begin();
    while (step != section.steps.end() && length + step->length_mm < far_seat) length += (step++)->length_mm;
    const fit::HousingStep last = step == section.steps.end() ? section.steps.back() : *step;
    section.steps.erase(step, section.steps.end());
    if (far_seat - length > 0) section.steps.push_back({far_seat - length, std::min(last.bore_mm, D_mm), last.outside_mm});
    section.steps.push_back({B_mm, D_mm, last.outside_mm});
}

class Builder {
public:
    Builder(const Plan& plan, const JobFile& job, const RigFile* rig, const Inventory& inventory)
        : plan_(plan), job_(job), facts_(plan.facts), inventory_(inventory) {
        stack_.work = facts_.work;
        stack_.title = job.item + (job.seat.empty() ? "" : ", seat " + job.seat);
        stack_.ring = facts_.ring;
        stack_.faces = plan.parts.faces;
        stack_.push = plan.parts.push;
        stack_.screw_needs_mm = plan.parts.screw_needs_mm;
        if (plan.parts.screw.chosen) {
            stack_.thread = fit::find_thread(plan.parts.screw.chosen->thread);
            stack_.screw_length_mm = plan.parts.screw.chosen->length_mm;
        }
        if (rig)
            for (const ChannelSetUp& channel : rig->channels) {
                stack_.has_force |= channel.measures == Measure::force;
                stack_.has_screw_travel |= channel.measures == Measure::screw_travel;
                stack_.has_ring_travel |= channel.measures == Measure::ring_travel;
                stack_.has_turns |= channel.measures == Measure::turns;
            }
    }

    Stack build() {
        const bool out = facts_.work == Work::out, aside = out && facts_.access == Access::past_spacer;
        const double B = facts_.B_mm;
        bool housing_given = false;
        fit::HousingSection housing = housing_of(facts_, job_, housing_given);
        if (job_.spacer && job_.spacer->length_mm) reach_far_seat(housing, B, facts_.D_mm, *job_.spacer->length_mm);

        const double set_back = out ? housing.seat_from_mouth_mm : 0;
        stack_.bearing_to_mm = out ? -set_back : 0;
        stack_.bearing_from_mm = stack_.bearing_to_mm - B;
        const double behind = stack_.bearing_from_mm;  // the bearing's face that is pushed
        const double screw_r = stack_.thread ? stack_.thread->d_mm / 2 : 0;

        double at = 0;
        for (const auto& step : housing.steps) {
            const double next = at + (out ? -step.length_mm : step.length_mm);
            add({"housing", std::min(at, next), std::max(at, next), step.bore_mm / 2, step.outside_mm / 2, 0, false, housing_given});
            at = next;
        }
        const double far_face = out ? 0 : at;
        item("housing", "housing", job_.housing.material.empty() ? "material not given" : job_.housing.material,
             job_.housing.outside_diameter_mm ? "Ø" + mm(*job_.housing.outside_diameter_mm) + " outside" : "outside not given");

        add({"bearing", behind, behind + B, facts_.d_mm / 2, facts_.D_mm / 2, 0, true, true});
        item("bearing", "bearing", job_.bearing.designation.empty() ? "" : job_.bearing.designation,
             mm_plain(facts_.d_mm) + " × " + mm_plain(facts_.D_mm) + " × " + mm(B));

        double left = behind;
        if (const auto& drift = plan_.parts.drift.chosen) {
            const double r = drift->diameter_mm / 2;
            double shift = 0;
            if (aside && drift->reach_mm) shift = std::min(*drift->reach_mm, exposed_to_mm(facts_, job_).value_or(*drift->reach_mm)) - r;
            left = behind - drift->height_mm;
            add({"drift", left, behind, screw_r, r, shift, true, true});
            item("drift", "drift", drift->name, "Ø" + mm(drift->diameter_mm) + ", " + mm(drift->height_mm) + " high" +
                                                  (drift->reach_mm ? ", reaches " + mm(*drift->reach_mm) : ""));
        }
        if (aside) spacer(behind, B);
        if (const auto& plug = plan_.parts.plug.chosen) {
            add({"plug", behind, behind + B, plug->hole_mm / 2, plug->diameter_mm / 2, 0, true, true});
            item("plug", "centring plug", plug->name, "Ø" + mm(plug->diameter_mm) + ", hole Ø" + mm(plug->hole_mm));
        }
        if (const auto& support = plan_.parts.support.chosen) supported(*support, far_face, screw_r);
        if (stack_.thread && plan_.parts.screw.chosen) {
            const Screw& screw = *plan_.parts.screw.chosen;
            const bool known = screw.length_mm > 0;
            const double length = known ? screw.length_mm : std::max(plan_.parts.screw_needs_mm, longest_when_unknown * facts_.B_mm);
            add({"screw", left, left + length, 0, screw_r, 0, true, known});
            item("screw", "screw", screw.name, screw.thread + (known ? " × " + mm(screw.length_mm) : ", length not given") +
                                                 (screw.property_class.empty() ? ", class not known" : ", class " + screw.property_class));
        }
        number_items();
        return std::move(stack_);
    }

private:
    // In the order they stand in along the screw, which itself comes last.
    void number_items() {
        const auto middle = [&](const StackItem& item) {
            const StackPart* part = stack_.find(item.part);
            return item.part == "screw" || !part ? 1e9 : part->from_mm + part->to_mm;
        };
        std::stable_sort(stack_.items.begin(), stack_.items.end(),
                         [&](const StackItem& one, const StackItem& other) { return middle(one) < middle(other); });
        int number = 0;
        for (StackItem& item : stack_.items) item.number = ++number;
    }

    static std::string mm_plain(double value) {
        std::string text = mm(value);
        return text.substr(0, text.find(' '));
    }

    void add(StackPart part) { stack_.parts.push_back(std::move(part)); }
    void item(std::string part, std::string what, std::string name, std::string size) {
        stack_.items.push_back({0, std::move(part), std::move(what), std::move(name), std::move(size)});
    }

    void spacer(double behind, double B) {
        const bool known = job_.spacer && job_.spacer->length_mm;
        const double length = known ? *job_.spacer->length_mm : 2.5 * B;
        const double moved = job_.spacer ? job_.spacer->moves_mm.value_or(0) : 0;
        const double bore = job_.spacer && job_.spacer->bore_mm ? *job_.spacer->bore_mm : facts_.d_mm;
        add({"spacer", behind - length, behind, bore / 2, std::max(stack_.faces.inner_to_mm / 2, bore / 2 + 1), moved, false, known});
        item("spacer", "spacer, pushed aside", "", (known ? mm(length) + " long, " : "length not given, ") + "moved " + mm(moved));
        if (known) add({"far-bearing", behind - length - B, behind - length, facts_.d_mm / 2, facts_.D_mm / 2, 0, false, true});
        if (const auto to = exposed_to_mm(facts_, job_)) stack_.exposed_mm = *to - facts_.d_mm / 2;
    }

    void supported(const Support& support, double face, double screw_r) {
        const double inner = support.inner_diameter_mm / 2, outer = support.outer_diameter_mm / 2;
        double at = face + support.height_mm;
        add({"support", face, at, inner, outer, 0, false, true});
        item("support", "support", support.name,
             "Ø" + mm_plain(2 * inner) + " / " + mm(2 * outer) + ", " + mm(support.height_mm) + " high");
        const double hole = screw_r > 0 ? screw_r + hole_play_mm : 0;
        add({"plate", at, at + washers_mm, hole, outer, 0, false, true});
        item("plate", "plate and washers", "", "counted with " + mm(washers_mm));
        at += washers_mm;
        if (const auto& cell = inventory_.load_cell) {
            add({"load-cell", at, at + cell->height_mm, cell->hole_mm / 2, cell->outer_diameter_mm / 2, 0, false, true});
            item("load-cell", "load cell", cell->name, "Ø" + mm(cell->outer_diameter_mm) + ", " + mm(cell->height_mm) + " high");
            at += cell->height_mm;
        } else if (stack_.has_force) {
            add({"load-cell", at, at + cell_when_unknown_mm, hole, std::max(1.6 * screw_r, 0.7 * outer), 0, false, false});
            item("load-cell", "load cell", "", "size not given, not counted");
            at += cell_when_unknown_mm;
        }
        if (const auto& nut = plan_.parts.nut.chosen; nut && stack_.thread) {
            add({"nut", at, at + nut->height_mm, screw_r, nut_across * stack_.thread->d_mm, 0, false, true});
            item("nut", "nut", nut->name, nut->thread + ", " + mm(nut->height_mm) + " high");
        }
    }

    const Plan& plan_;
    const JobFile& job_;
    const curve::SeatFacts& facts_;
    const Inventory& inventory_;
    Stack stack_;
};

}  // namespace

const StackPart* Stack::find(std::string_view id) const {
    const auto found = std::find_if(parts.begin(), parts.end(), [&](const StackPart& part) { return part.id == id; });
    return found == parts.end() ? nullptr : &*found;
}

Stack stack_of(const Plan& plan, const JobFile& job, const RigFile* rig, const Inventory& inventory) {
    return Builder(plan, job, rig, inventory).build();
}

}  // namespace halfturn::plan
