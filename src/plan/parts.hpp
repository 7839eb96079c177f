// Which of a bench's parts suit a job, why, and what would be next best.
//   const PartChoice parts = choose_parts(facts, job, rig, inventory);   parts.drift.chosen, parts.drift.why
//
// Method: exclusion by size, then the part that pushes on most of the ring, leans on most of the ground, bends least.
// Sizes from ISO 15. The margins are common practice, no published source; each is a named constant in parts.cpp.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "curve/seat_facts.hpp"
#include "plan/circles.hpp"
#include "plan/inventory.hpp"

namespace halfturn::plan {

inline constexpr double full_nut_diameters = 0.8;  // height of a nut that holds the screw's proof load (ISO 898-2)
inline constexpr double washers_mm = 3;  // plate and washers under the nut; common practice, no published source

// One choice. No chosen part: why says what was missing.
template <class Part>
struct Choice {
    std::optional<Part> chosen{};
    std::string why;
    std::string runner_up, runner_up_why;  // empty: there is none
};

// Where a drift pushes.
struct Push {
    enum class On { inner_ring, outer_ring } on = On::inner_ring;
    double width_mm = 0;   // of the ring's flat face it catches, at its widest
    double area_mm2 = 0;
    double off_axis_mm = 0;  // centre of that area
    double edge_mm = 0;      // radius of the farthest edge that bears
};

// The faces of a bearing's rings, as diameters.
struct Faces {
    double inner_from_mm = 0, inner_to_mm = 0;  // flat of the inner ring, its chamfer left out
    double outer_from_mm = 0, outer_to_mm = 0;
};
// The chamfer is ISO 15's smallest; the shoulders (inner d + 0.30 (D - d), a maker's catalogue table; outer by
// ring_section.hpp). chamfer_mm: 0 takes 0.3.
Faces faces_of(const curve::SeatFacts& facts, double chamfer_mm);

// Radius to which the inner ring's face is free when the spacer is moved aside; nothing when that is not known.
std::optional<double> exposed_to_mm(const curve::SeatFacts& facts, const JobFile& job);

// What this drift bears on; a width of 0: it does not reach.
Push push_of(const Drift& drift, const Faces& faces, const curve::SeatFacts& facts, const JobFile& job);

// Ring of the housing's face a support may lean on, as diameters; nothing when that is not known.
struct Annulus {
    double inner_mm = 0, outer_mm = 0;
    double area_mm2() const;
};
std::optional<Annulus> ground_of(const curve::SeatFacts& facts, const JobFile& job);
// Where both are.
Annulus common(const Annulus& one, const Annulus& other);

struct PartChoice {
    Faces faces;
    Push push;
    std::optional<Annulus> leans_on;  // the support's part of the ground
    double screw_needs_mm = 0;        // length the stack takes, threads through; 0: parts missing
    bool screw_need_is_least = false;  // the distance between the seats is not known, so it needs more
    Choice<Drift> drift;
    Choice<Plug> plug;
    Choice<Support> support;
    Choice<Screw> screw;
    Choice<Nut> nut;
};

PartChoice choose_parts(const curve::SeatFacts& facts, const JobFile& job, const RigFile* rig,
                        const Inventory& inventory);

}  // namespace halfturn::plan
