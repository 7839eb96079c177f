// The press as it will stand: every part of the stack with its place along the screw, to scale, from the sizes of the job,
// the bench's parts and the bearing's section.
//   const Stack stack = stack_of(plan, job, &rig, inventory);   stack.find("support")->from_mm
//
// Along the axis x_mm runs towards the nut, 0 at the housing's mouth, where the bearing leaves or enters. Radii are mm from
// the screw's axis; `aside_mm` shifts a part upwards. Parts whose size nobody gave are marked so. Pure.
// Sources: ISO 15 sizes, the section of fit/ring_section.hpp, the housing's steps of fit/housing.hpp.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "fit/housing.hpp"
#include "fit/threads.hpp"
#include "plan/plan.hpp"

namespace halfturn::plan {

struct StackPart {
    std::string id;            // "drift", "housing", … ; kebab-case
    double from_mm = 0, to_mm = 0;
    double inner_mm = 0, outer_mm = 0;  // radii
    double aside_mm = 0;
    bool moves = false;        // with the screw, when the nut is turned
    bool given = true;         // its sizes were given
};

// One line of the list of parts; its number stands in the drawing.
struct StackItem {
    int number = 0;
    std::string part;          // id of what it names
    std::string what, name;    // "drift", "disc 18"
    std::string size;
};

struct Stack {
    std::string title;  // the piece and its seat
    Work work = Work::out;
    std::vector<StackPart> parts;
    std::vector<StackItem> items;
    double bearing_from_mm = 0, bearing_to_mm = 0;
    fit::RingSection ring;
    Faces faces;
    Push push;
    std::optional<fit::Thread> thread;
    double screw_needs_mm = 0;       // 0: parts missing
    double screw_length_mm = 0;
    std::optional<double> exposed_mm;  // of the inner ring, beside the spacer moved aside
    bool has_force = false, has_screw_travel = false, has_ring_travel = false, has_turns = false;

    const StackPart* find(std::string_view id) const;
};

Stack stack_of(const Plan& plan, const JobFile& job, const RigFile* rig, const Inventory& inventory);

}  // namespace halfturn::plan
